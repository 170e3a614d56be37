// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/middle_surface.hpp"

namespace cellgrade {

/// The tightest place that a ball inside one phase has to pass on its way out: through a face that
/// is not periodic, or endlessly along a periodic axis.
///
/// Boxes are added in the order of falling radius; a chamber that has no way out until then and is
/// joined to one at radius r has a throat of 2 r. Chambers less than a spacing wider (in radius)
/// than their throat are left out as grid noise. A phase without chambers, such as a straight
/// channel, has the diameter of its largest ball; pieces below 1 % of the phase are left out.
/// Closed pieces have no throat.
///
/// Source: watershed of the distance map by union-find, as in Gostick 2017, Phys Rev E 96:023307
/// (from memory); own rule for the way out. Error: up to a spacing low where a throat has no middle
/// pair, else as middle_pairs(). Empty when no piece has a way out.
/// @param radii from ridge_radii() [m]
[[nodiscard]] std::optional<NarrowPlace>
narrowest_throat(const SurfaceDistance& grid, const std::vector<double>& radii, Phase phase);

} // namespace cellgrade
