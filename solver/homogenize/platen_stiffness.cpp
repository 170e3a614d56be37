// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/platen_stiffness.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_solver.hpp"
#include "solver/homogenize/solid_stiffness.hpp"

#include <vector>

namespace cellgrade {

namespace {

std::vector<char> held_components(const TetMesh& mesh, PlatenFaces faces) {
    std::vector<char> held(3 * mesh.nodes.size(), 0);
    const auto hold = [&held](Index node, int axis) {
        held[3 * static_cast<std::size_t>(node) + axis] = 1;
    };
    for (const std::vector<Index>* face : {&mesh.bottom, &mesh.top})
        for (const Index node : *face)
            for (int axis = faces == PlatenFaces::Bonded ? 0 : 2; axis < 3; ++axis)
                hold(node, axis);
    if (faces == PlatenFaces::Bonded)
        return held;
    const Index first = mesh.bottom.front();
    hold(first, 0);
    hold(first, 1);
    if (mesh.periodic[0] || mesh.periodic[1])
        return held; // cannot turn
    Index far = first;
    const auto way = [&](Index node) { return Vec3(mesh.nodes[node] - mesh.nodes[first]); };
    for (const Index node : mesh.bottom)
        if (way(node).norm() > way(far).norm())
            far = node;
    hold(far, std::abs(way(far).x()) > std::abs(way(far).y()) ? 1 : 0);
    return held;
}

} // namespace

PlatenStiffness
platen_stiffness(const TetMesh& mesh, double youngs, double poisson, PlatenFaces faces) {
    check_moduli(youngs, poisson);
    CELLGRADE_CHECK(!mesh.bottom.empty() && !mesh.top.empty() && !mesh.periodic[2],
                    "the stiffness between platens needs a mesh with a lower and an upper face");
    const TetBlock block =
        make_tet_block(mesh, LinearElastic{.E = youngs, .nu = poisson, .void_fraction = 0.0}, {});
    NodeFields pressed = NodeFields::Zero(3 * mesh.nodes.size(), 1);
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        pressed(3 * n + 2, 0) = -mesh.nodes[n].z(); // unit nominal strain
    const TetSolver::Solution found =
        TetSolver(mesh, block, held_components(mesh, faces)).solve(pressed);
    // work of the unit strain: its error is the square of that of the displacements
    const double work = found.u.col(0).dot(tet_linear_forces(mesh, block, found.u).col(0));
    return {.modulus = work / mesh.box.prod(),
            .relative_density = element_volume(block) / mesh.box.prod(),
            .iterations = found.iterations};
}

} // namespace cellgrade
