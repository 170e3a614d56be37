// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/surface_distance.hpp"

#include <optional>
#include <vector>

namespace cellgrade {

enum class Phase { Void, Solid };

/// Two neighbouring middles with the middle surface (or axis) of their phase between them.
struct MiddlePair {
    Index box = no_index;
    Index other = no_index;
    Vec3 centre = Vec3::Zero(); ///< of the ball [m]
    double width = 0.0;         ///< diameter of the largest ball between the two surface points [m]
};

/// All neighbours (of 26) whose nearest surface points lie more than 120 degrees apart.
///
///     width = 2 (p' - p) . n / |u' - u|        u = direction to the surface point p, n ~ u' - u
///
/// which is the diameter of the ball that touches both points, whether they lie opposite or not.
/// Corners, where the directions differ less, have no middle surface here. For a wall or a strut
/// the error is about spacing^2 / width.
///
/// Source: medial axis by the angle of separation, common practice (as in Foskey, Lin and Manocha
/// 2003, from memory).
[[nodiscard]] std::vector<MiddlePair> middle_pairs(const SurfaceDistance& grid, Phase phase);

/// Distance from each box's middle to the surface, or on the middle surface half the width, so that
/// what lies between the middles is not missed [m].
[[nodiscard]] std::vector<double> ridge_radii(const SurfaceDistance& grid,
                                              const std::vector<MiddlePair>& pairs);

/// A narrow place.
struct NarrowPlace {
    double width = 0.0;     ///< [m]
    Vec3 at = Vec3::Zero(); ///< [m]
};

/// Local thickness: for every box the diameter of the largest inscribed ball that holds it; sorted
/// by width, with the place of the ball. Boxes in corners that no ball holds are left out.
///
/// Source: Hildebrand and Rueegsegger 1997, J Microsc 185:67 (from memory). A neck that flares
/// within its own width comes out as thick as the balls beside it: see narrowest_throat().
[[nodiscard]] std::vector<NarrowPlace> local_thickness(const SurfaceDistance& grid,
                                                       std::vector<MiddlePair> pairs);

} // namespace cellgrade
