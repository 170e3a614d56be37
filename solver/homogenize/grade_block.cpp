// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/grade_block.hpp"

#include "meshes/tets/mesh_solid.hpp"
#include "solver/core/error.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

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

/// Shear stress over rising shear strain, from the row where shear begins.
struct ShearRows {
    std::vector<double> strain, stress;

    explicit ShearRows(const CrushCurve& curve) {
        for (std::size_t i = 0; i < curve.shear_strain.size(); ++i)
            if (strain.empty() ? curve.shear_strain[i] > 0.0
                               : curve.shear_strain[i] > strain.back()) {
                strain.push_back(curve.shear_strain[i]);
                stress.push_back(curve.shear_stress_Pa[i]);
            }
    }
    [[nodiscard]] double stress_at(double g) const {
        const auto above = std::lower_bound(strain.begin() + 1, strain.end() - 1, g);
        const auto i = static_cast<std::size_t>(above - strain.begin());
        const double t = (g - strain[i - 1]) / (strain[i] - strain[i - 1]);
        return stress[i - 1] + t * (stress[i] - stress[i - 1]);
    }
};

BranchError shear_difference(const GradeTest& test, const CrushCurve& block) {
    const ShearRows of_test(test.curve), of_block(block);
    CELLGRADE_CHECK(of_test.strain.size() > 2, "the test {} has no shear", test.name);
    if (of_block.strain.size() < 3)
        throw run_error("the block of the law was not sheared: {}", test.name);
    const double from = std::max(of_test.strain.front(), of_block.strain.front());
    const double to = std::min(of_test.strain.back(), of_block.strain.back());
    std::vector<double> strain, expected, got;
    constexpr int rows = 400;
    for (int i = 0; i <= rows; ++i) {
        strain.push_back(from + (to - from) * i / rows);
        expected.push_back(of_test.stress_at(strain.back()));
        got.push_back(of_block.stress_at(strain.back()));
    }
    return branch_error(test.name, strain, expected, got);
}

CrushSetup block_setup(const PolymerCard& card, const GradeTest& test) {
    CrushSetup setup;
    setup.mesh = full_block(edge, cubes);
    setup.polymer = card;
    setup.sides = SpecimenSides::Free;
    setup.self_contact = false;
    setup.loading.strain_rate_per_s = test.strain_rate_per_s;
    return setup;
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
    CrushSetup setup = block_setup(card, test);
    setup.ends = SpecimenEnds::Platen;
    setup.loading.to_strain = test.to_strain;
    BlockProof proof{.record = run_crush(setup, hooks)};
    proof.curve = crush_curve(proof.record);
    proof.branches.push_back(loading_difference(test, proof.curve));
    return proof;
}

BlockProof
prove_grade_shear(const PolymerCard& card, const GradeTest& test, const CrushHooks& hooks) {
    CELLGRADE_CHECK(!test.curve.shear_strain.empty(), "the test {} has no shear", test.name);
    CrushSetup setup = block_setup(card, test);
    setup.ends = SpecimenEnds::Bonded;
    setup.loading.to_strain = std::max(0.0, test.curve.nominal_strain.back());
    setup.loading.shear_to_strain = test.curve.shear_strain.back();
    BlockProof proof{.record = run_crush(setup, hooks)};
    proof.curve = crush_curve(proof.record);
    proof.branches.push_back(shear_difference(test, proof.curve));
    return proof;
}

} // namespace cellgrade
