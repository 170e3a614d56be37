// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/solid_stiffness.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_solver.hpp"

#include <vector>

namespace cellgrade {

namespace {

/// Unit strain i: xx yy zz yz xz xy, engineering shear.
Mat3 unit_strain(int i) {
    Mat3 strain = Mat3::Zero();
    if (i < 3) {
        strain(i, i) = 1.0;
    } else {
        const int a = i == 3 ? 1 : 0, b = i == 5 ? 1 : 2;
        strain(a, b) = strain(b, a) = 0.5;
    }
    return strain;
}

} // namespace

void check_moduli(double youngs, double poisson) {
    CELLGRADE_CHECK(youngs > 0.0, "Young's modulus {} Pa must be above 0", youngs);
    CELLGRADE_CHECK(poisson > -1.0 && poisson < 0.5, "Poisson's ratio {} must lie in (-1, 0.5)",
                    poisson);
}

double element_volume(const TetBlock& block) {
    double volume = 0.0;
    for (Index e = 0; e < block.n_elements; ++e)
        for (const Lanes& weight : block.groups[e / group_lanes].weight)
            volume += weight[e % group_lanes];
    return volume;
}

SolidStiffness solid_stiffness(const TetMesh& mesh, double youngs, double poisson) {
    check_moduli(youngs, poisson);
    CELLGRADE_CHECK(mesh.periodic[0] && mesh.periodic[1] && mesh.periodic[2] && !mesh.tets.empty(),
                    "the stiffness tensor needs a mesh that repeats along x, y and z");
    const TetBlock block =
        make_tet_block(mesh, LinearElastic{.E = youngs, .nu = poisson, .void_fraction = 0.0}, {});
    std::vector<char> held(3 * mesh.nodes.size(), 0);
    for (int axis = 0; axis < 3; ++axis)
        held[3 * static_cast<std::size_t>(mesh.tets.front()[0]) + axis] = 1;
    NodeFields strained(3 * mesh.nodes.size(), 6);
    for (int i = 0; i < 6; ++i) {
        const Mat3 strain = unit_strain(i);
        for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
            strained.col(i).segment<3>(3 * n) = strain * mesh.nodes[n];
    }
    const TetSolver::Solution found = TetSolver(mesh, block, held).solve(strained);
    SolidStiffness result;
    result.C = found.u.transpose() * tet_linear_forces(mesh, block, found.u) / mesh.box.prod();
    result.C = 0.5 * (result.C + result.C.transpose()).eval();
    result.relative_density = element_volume(block) / mesh.box.prod();
    result.iterations = found.iterations;
    return result;
}

} // namespace cellgrade
