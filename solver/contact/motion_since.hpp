// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <span>
#include <vector>

namespace cellgrade {

/// Points at the last build of a list.
struct BuiltShape {
    std::vector<Vec3> x;                ///< [m]
    Vec3 box = Vec3::Zero();            ///< [m]
    Vec3 mean = Vec3::Zero();           ///< of x [m]
    Vec3 squared_spread = Vec3::Zero(); ///< sum of (x - mean)^2 [m^2]
};

/// How points have moved, split into a stretch along the axes and the rest.
struct MotionSince {
    double rest = 0.0;           ///< largest |x - (a + S x_built)| [m]
    double stretch = 0.0;        ///< largest |S - 1| over the axes [-]
    Index not_finite = no_index; ///< lowest point that is not finite
};

[[nodiscard]] BuiltShape built_shape(std::vector<Vec3> x, const Vec3& box);

/// Splits the motion since a build: x = a + S x_built + rest, S diagonal.
///
/// S is the ratio of the box lengths along periodic axes, so that images move alike, and the least
/// squares fit of the points along the others: a crush moves most points in proportion to their
/// height, which brings few of them nearer to each other. Two points at distance D at the build are
/// now no nearer than (1 - stretch) D - 2 rest. Same bits for any number of threads.
[[nodiscard]] MotionSince motion_since(const BuiltShape& built,
                                       std::span<const Vec3> x,
                                       const Vec3& box,
                                       const std::array<bool, 3>& periodic);

} // namespace cellgrade
