// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/elements/tet_block.hpp"

#include <vector>

namespace cellgrade {

struct TetMass {
    std::vector<double> node; ///< one a node; 0 on periodic copies, theirs is at the original [kg]
    std::vector<double> element; ///< rho V by the four points [kg]
    /// One an element: largest eigenvalue of M^-1 sum_q w_q grad N (grad N)^T, which turns a bound
    /// of the point stiffness into one of the element's squared frequency [m/kg]
    std::vector<double> laplacian;
    double total = 0.0; ///< sum over nodes [kg]
};

/// Lumped mass, 1/36 of the element at each corner and 4/27 in the middle of each edge (tet_shape):
/// positive everywhere, total exact, frequencies of order 2 in element size.
/// `block` is that of the same mesh. Throws an input Error for a density that is not above 0.
[[nodiscard]] TetMass tet_lumped_mass(const TetMesh& mesh, const TetBlock& block, double density);

} // namespace cellgrade
