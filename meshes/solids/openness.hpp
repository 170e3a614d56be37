// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"

#include <array>
#include <limits>

namespace cellgrade {

/// How far air, water and light get through a lattice.
struct Openness {
    /// Share of parallel rays along x, y, z that meet no solid in an endless lattice.
    std::array<double, 3> through_view{};
    /// Diameter of the largest ball that gets through the void [m]; NaN: none does, or the void has
    /// no ball wider than the grid tells.
    double narrowest_opening = std::numeric_limits<double>::quiet_NaN();
};

/// Openness of a solid that is one period of an endless lattice along all three axes.
///
/// The view counts the columns of a grid of `per_edge` boxes along the shortest edge, rays through
/// their middles; the error is about one box along the rim of the view. The opening is
/// check_print's, a few per cent. 0.5 s for 96 boxes.
/// @throws Error (Input) for a solid that is not periodic along all axes
[[nodiscard]] Openness openness(const ImplicitSolid& solid, Index per_edge = 96);

} // namespace cellgrade
