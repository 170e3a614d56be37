// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/tet_block.hpp"

#include <Eigen/Core>

#include <memory>
#include <span>

namespace cellgrade {

/// Node fields of a mesh: row 3 n + i is component i at node n, one column a field.
using NodeFields = Eigen::MatrixXd;

/// Forces that hold the elements at small displacements u, K u with tet_stiffness(), at every node
/// of the mesh, copies apart from their originals [N].
[[nodiscard]] NodeFields
tet_linear_forces(const TetMesh& mesh, const TetBlock& block, const NodeFields& u);

/// Small displacements of a solid at rest:
///
///   u = u0 + w      K u = loads at free components      w = 0 at held ones, alike at copies
///
/// with K of tet_stiffness(), so a nearly incompressible polymer does not lock. Conjugate gradients
/// for up to eight fields side by side. Preconditioner: a V cycle TetCycle over a CornerCycle.
/// Source: levels by polynomial degree, Ronquist & Patera (1987), J. Sci. Comput. 2:389 (from
/// memory); smoother and patches: their headers.
/// Time and memory grow linearly with the elements, but for the direct solution of a quarter of a
/// freedom a corner; about 7 kB an element. Threads inside; the same bits for any number. Slower
/// towards nu = 0.5: a gyroid of a fifth takes 35 iterations at 0.45 and 71 at 0.49.
class TetSolver {
public:
    /// Keeps references to mesh and block.
    /// @param held  3 a node, 1 where the displacement is given; copies count with their original.
    ///              At least as many as keep the solid from moving freely
    /// @throws Error (Run) when it is found to move freely all the same, here or in solve()
    TetSolver(const TetMesh& mesh, const TetBlock& block, std::span<const char> held);
    ~TetSolver();
    TetSolver(const TetSolver&) = delete;
    TetSolver& operator=(const TetSolver&) = delete;

    struct Solution {
        NodeFields u;         ///< [m]
        Index iterations = 0; ///< most of all fields
    };
    /// Until the residual is `tolerance` of that of u0, in the norm of node forces.
    /// @param loads  as u0, or empty for none [N]
    /// @throws Error (Run) when the iteration does not get there
    [[nodiscard]] Solution
    solve(const NodeFields& u0, const NodeFields& loads = {}, double tolerance = 1e-8) const;

private:
    struct System;
    std::unique_ptr<System> system_;
};

} // namespace cellgrade
