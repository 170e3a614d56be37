// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/elements/tet_block.hpp"

#include <span>
#include <vector>

namespace cellgrade {

struct TetMass {
    std::vector<double> node; ///< one a node; 0 on periodic copies, theirs is at the original [kg]
    std::vector<double> element; ///< rho V by the four points [kg]
    /// One an element: largest eigenvalue of M^-1 sum_q w_q grad N (grad N)^T, which turns a bound
    /// of the point stiffness into one of the element's squared frequency [m/kg]
    std::vector<double> laplacian;
    double total = 0.0; ///< of the solid itself [kg]
    double added = 0.0; ///< by raise_small_masses(), in `node` and `element` but not in total [kg]
};

/// Lumped mass, 1/36 of the element at each corner and 4/27 in the middle of each edge (tet_shape):
/// positive everywhere, total exact, frequencies of order 2 in element size.
/// `block` is that of the same mesh. Throws an input Error for a density that is not above 0.
[[nodiscard]] TetMass tet_lumped_mass(const TetMesh& mesh, const TetBlock& block, double density);

/// Adds mass to the elements with the highest frequencies until `share` of the total has been spent
/// on lowering the largest: those above a limit omega_t get m (omega_e/omega_t)^2. For runs whose
/// inertia is proven negligible; it lengthens their step and nothing else.
///
/// Source: common practice, no source ("mass scaling"); the limit by bisection is ours.
/// @param omega  tet_element_omegas() of this mass [rad/s]  @param share  0 changes nothing [-]
/// @return the limit omega_t: no element is above it any more [rad/s]
double
raise_small_masses(TetMass& mass, const TetMesh& mesh, std::span<const double> omega, double share);

} // namespace cellgrade
