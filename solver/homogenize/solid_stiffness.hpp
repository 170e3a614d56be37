// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/tet_block.hpp"

namespace cellgrade {

/// Elastic stiffness of a periodic solid, small strain.
struct SolidStiffness {
    /// sigma = C eps [Pa]; order xx yy zz yz xz xy, engineering shear strains
    Mat6 C = Mat6::Zero();
    double relative_density = 0.0; ///< volume of the elements / volume of the box
    Index iterations = 0;          ///< of the linear solver, the most of the six strains
};

/// Stiffness tensor of a mesh that repeats along x, y and z.
///
///   u = eps X + w,  w periodic      C_ij = (1 / V) sum over elements d_i^T K_e d_j
///
/// with d_i the node displacements under unit strain i and K_e tet_stiffness(): one pressure an
/// element, so that a nearly incompressible polymer does not lock. One node is held, which costs
/// nothing because the loads balance. Solution by TetSolver to a relative residual of 1e-8, which
/// is squared in C: 57,000 elements take some 15 s on one thread at nu = 0.45.
///
/// Source: average-energy (Hill) condition on a periodic cell; Guedes and Kikuchi (1990), Comput.
/// Methods Appl. Mech. Eng. 83:143 (from memory).
/// @param youngs   of the polymer, above 0 [Pa]
/// @param poisson  in (-1, 0.5)
/// @throws Error (Input) for a mesh that is not periodic along all axes or bad moduli; (Run) when
///         the solver does not converge
[[nodiscard]] SolidStiffness solid_stiffness(const TetMesh& mesh, double youngs, double poisson);

/// Throws an input Error unless youngs > 0 [Pa] and poisson is in (-1, 0.5).
void check_moduli(double youngs, double poisson);

/// Sum over the elements of a block, by their integration points [m^3].
[[nodiscard]] double element_volume(const TetBlock& block);

} // namespace cellgrade
