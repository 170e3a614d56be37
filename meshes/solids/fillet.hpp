// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <span>

namespace cellgrade {

/// A surface near a point, as a plane.
struct NearSurface {
    Vec3 normal;     ///< unit, away from the solid
    double distance; ///< of the point, negative inside [m]
};

/// Signed measure of a union of solids with its corners filled by a rolling ball.
///
///     f = radius - |v|,   v the shortest move with  n_i . v >= radius - d_i  for all i
///
/// v takes the point to the nearest place for the centre of a ball that touches no solid; where the
/// solids are planes f = 0 is the exact fillet of that radius at any angle, and with one of them in
/// reach f = d. For convex solids, such as struts, the planes keep the ball too far away, so that
/// the fillet is a little fuller than a rolling ball's: exact in the plane of the axes of two
/// struts, where they meet at right angles. Never above min d_i; not below -radius unless that
/// is. Parts closer than two radii are filled.
///
/// Source: closing of a set by a ball, Serra 1982, Image Analysis and Mathematical Morphology,
/// ch. II (from memory); the quadratic programme: Goldfarb and Idnani 1983, Math Programming 27:1
/// (dual active set; here with all subsets of at most three of four planes tried). Own combination.
/// @param near all surfaces with distance below 3 radius, at most `most_near`
[[nodiscard]] double rolling_ball_union(std::span<const NearSurface> near, double radius) noexcept;

inline constexpr std::size_t most_near = 128;

} // namespace cellgrade
