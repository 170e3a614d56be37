// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/linear_tets.hpp"

#include <vector>

namespace cellgrade {

/// The edges of a mesh with their middles.
struct EdgeMiddles {
    std::vector<std::array<Index, 2>> ends;   ///< lower node first, by first use
    std::vector<Vec3> at;                     ///< [m]
    std::vector<std::array<Index, 6>> of_tet; ///< edges 0-1, 1-2, 2-0, 0-3, 1-3, 2-3
    Index n_straight = 0; ///< edges of the surface left straight so that nothing inverts
};

/// Numbers the edges and puts their middles half way.
[[nodiscard]] EdgeMiddles straight_middles(const LinearTets& mesh);

/// The ten nodes of a tetrahedron in the order of TetNodes.
[[nodiscard]] std::array<Vec3, 10>
ten_nodes(const LinearTets& mesh, const EdgeMiddles& middles, std::size_t tet);

/// Moves the middles of edges on the zero set onto it.
///
/// Every tetrahedron keeps all twenty Bezier coefficients of its Jacobian determinant above two
/// fifths of that with straight edges, which proves that it is nowhere inverted; where it would
/// not, its edges go back half way, at last all the way. Middles on far periodic sides follow the
/// near ones.
///
/// Source: sufficiency of positive Bezier coefficients, Johnen, Remacle and Geuzaine (2013),
/// J. Comput. Phys. 233:359.
void curve_edges(EdgeMiddles& middles, const LinearTets& mesh, const ImplicitSolid& solid);

} // namespace cellgrade
