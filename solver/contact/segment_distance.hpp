// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

namespace cellgrade {

/// Closest points of two segments, made unique.
struct ClosestPoints {
    double s = 0.5;                 ///< place on the first segment, in [0, 1]
    double t = 0.5;                 ///< place on the second
    Vec3 difference = Vec3::Zero(); ///< p(s) - q(t) [m]
    double distance = 0.0;          ///< regularised D [m], >= |p - q|
};

/// Regularised distance of the segments p(s) = p0 + s u and q(t) = q0 + t v.
///
///   D^2 = min over s, t in [0, 1] of |p(s) - q(t)|^2 + w ((s - 1/2)^2 + (t - 1/2)^2)
///
/// For w > 0 the quadratic is strictly convex, also for parallel or degenerate segments: s and t
/// are unique and continuous in the ends, and by the envelope theorem (Danskin) D^2 is once
/// continuously differentiable with
///
///   dD^2/dp0 = 2 (1 - s)(p - q)   dD^2/dp1 = 2 s (p - q)   dD^2/dq0 = -2 (1 - t)(p - q)   ...
///
/// D is 1-Lipschitz in the motion of each segment. D exceeds the true distance d by at most
/// w / (4 d). Source: clamping steps after Ericson (2005), Real-Time Collision Detection,
/// sec. 5.1.9; they are exact for every convex quadratic on the square.
/// @param d0  p0 - q0 [m]  @param u, v  p1 - p0 and q1 - q0 [m]  @param w  > 0 [m^2]
[[nodiscard]] ClosestPoints
closest_points(const Vec3& d0, const Vec3& u, const Vec3& v, double w) noexcept;

} // namespace cellgrade
