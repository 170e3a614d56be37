// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/grade_block.hpp"

#include "meshes/tets/mesh_solid.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

constexpr double edge = 10e-3; // [m]; an even state does not know its size
constexpr Index cubes = 3;

BranchError loading_difference(const GradeTest& test, const CrushCurve& block) {
    const LoadingBranch of_test(test.curve), of_block(block);
    const double to = std::min({test.to_strain, of_test.last_strain(), of_block.last_strain()});
    std::vector<double> strain, expected, got;
    constexpr int rows = 400;
    for (int i = 1; i <= rows; ++i) {
        strain.push_back(std::min(to, to * i / rows));
        expected.push_back(of_test.stress_at(strain.back()));
        got.push_back(of_block.stress_at(strain.back()));
    }
    return branch_error(test.name, strain, expected, got);
}

} // namespace

TetMesh full_block(double size, Index along) {
    ImplicitSolid solid;
    solid.box = Vec3::Constant(size);
    solid.periodic = {true, true, false};
    solid.field = [](std::span<const Vec3>, std::span<double> values) {
        std::fill(values.begin(), values.end(), -1.0);
    };
    TetMesh mesh =
        mesh_solid(solid, {.element_size = size / static_cast<double>(along), .low_share = 0.0});
    mesh.solid_volume = size * size * size;
    return mesh;
}

BlockProof
prove_grade_law(const PolymerCard& card, const GradeTest& test, const CrushHooks& hooks) {
    CrushSetup setup;
    setup.mesh = full_block(edge, cubes);
    setup.polymer = card;
    setup.sides = SpecimenSides::Free;
    setup.ends = SpecimenEnds::Platen;
    setup.self_contact = false;
    setup.loading.strain_rate_per_s = test.strain_rate_per_s;
    setup.loading.to_strain = test.to_strain;
    BlockProof proof{.record = run_crush(setup, hooks)};
    proof.curve = crush_curve(proof.record);
    proof.branches.push_back(loading_difference(test, proof.curve));
    return proof;
}

} // namespace cellgrade
