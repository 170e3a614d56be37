// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>

namespace cellgrade {

/// Weights of the corners a, b, c at the point of a triangle nearest to x; each in [0, 1], sum 1.
///
/// The distance to that point is once continuously differentiable in x and the corners wherever it
/// is positive (Danskin: the nearest point of a convex set is unique). A triangle without area is
/// met on one of its edges. Source: Ericson (2005), Real-Time Collision Detection, sec. 5.1.5.
[[nodiscard]] std::array<double, 3>
nearest_on_triangle(const Vec3& x, const Vec3& a, const Vec3& b, const Vec3& c) noexcept;

} // namespace cellgrade
