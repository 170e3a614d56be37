// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"

namespace cellgrade {

/// A honeycomb in a right-angled box of two hexagons, one at the corners and one in the middle.
struct Honeycomb {
    double width = 0.0;  ///< of the box across the axis, between two flats of a hexagon [m]
    double height = 0.0; ///< of the box across the axis, sqrt(3) widths for regular hexagons [m]
    /// Wall thickness at the junctions of three walls / in the middle of a wall; 1: even walls.
    double junction_ratio = 1.0;
};

/// Share of the width from a point to the nearest mid-plane of a wall, divided by the thickness of
/// the wall there relative to that in its middle.
///
///     f = d / (a w)       w(r) = 1 + (k - 1) cos^2(pi r / l) for r < l / 2, else 1
///
/// d distance to the nearest wall mid-plane, a width, r distance to the nearest junction, l length
/// of the shorter walls, k junction ratio. |f| < t is then a honeycomb whose walls are 2 t a thick
/// in the middle, and in the even, regular case has relative density 1 - (1 - 2 t)^2 = 2 x - x^2,
/// x = 2 t. The hexagons are the nearest-point regions of the centred rectangular lattice.
///
/// Source: Gibson and Ashby 1997, Cellular Solids, sec. 4.3 (density of a regular honeycomb, from
/// memory); thicker junctions: own choice of shape.
/// @param across the two axes that span the hexagons, width first
[[nodiscard]] PointField honeycomb_function(const Honeycomb& shape,
                                            const std::array<int, 2>& across);

} // namespace cellgrade
