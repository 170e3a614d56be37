// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/stuffing_grid.hpp"

#include <cstdint>
#include <vector>

namespace cellgrade {

/// A grid node seen through the periodic sides.
struct GridHome {
    Index node = no_index;       ///< on near sides only
    Vec3i image = Vec3i::Zero(); ///< the node itself lies at home + image * box
};

/// An edge of the grid that crosses the zero set, not on a far periodic side.
struct GridCut {
    Index a = no_index, b = no_index; ///< a < b, as numbered by the grid
    double share = 0.5;               ///< from a to b
};

/// Where the grid crosses the zero set, and the sign of every node. Grid nodes on far periodic
/// sides share the sign and the move of their home.
struct GridCuts {
    StuffingGrid grid;
    std::array<bool, 3> periodic{};
    std::vector<std::int8_t> sign; ///< one a grid node: -1 inside, 0 on the zero set, 1 outside
    std::vector<Vec3> move;        ///< one a grid node [m]
    std::vector<bool> off_surface; ///< one a grid node: sign 0 though not on the zero set
    std::vector<GridCut> cuts;     ///< ascending by (a, b)

    [[nodiscard]] GridHome home(Index node) const;
    /// Axes along which a node must not move, as bits: it lies on a side across them.
    [[nodiscard]] unsigned held_axes(Index node) const;
    /// Position of a node after its move [m].
    [[nodiscard]] Vec3 position(Index node) const { return grid.position(node) + move[node]; }
    /// The cut of an edge that is listed, or nullptr.
    [[nodiscard]] const GridCut* find(Index a, Index b) const;
};

/// Signs and crossings of the undistorted grid.
[[nodiscard]] GridCuts find_grid_cuts(const ImplicitSolid& solid,
                                      const std::array<Index, 3>& cubes);

/// Step 2 of stuff(): moves nodes onto close crossings.
void warp_grid(GridCuts& cuts, const ImplicitSolid& solid);

} // namespace cellgrade
