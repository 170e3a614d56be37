// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <functional>
#include <optional>
#include <span>
#include <string>

namespace cellgrade {

/// Values of a function at many points; safe to call from several threads at once.
using PointField = std::function<void(std::span<const Vec3> points, std::span<double> values)>;

/// Which part of the cell is solid, with g = f - level and an offset t that makes it grow.
enum class SolidSide {
    Wall,  ///< |g| < t: a wall about the surface g = 0
    Below, ///< g < t: a skeleton on the lower side
    Above, ///< -g < t: a skeleton on the upper side
};

/// A periodic cell that is solid where a function of place meets a condition.
///
/// The box is right-angled along x, y, z. The function has period 1 in each fractional coordinate
/// and is asked at 0 .. 1 only.
struct LevelSetCell {
    std::string name;
    std::string source;           ///< where the geometry comes from, may be empty
    Vec3 size = Vec3::Zero();     ///< of the cell [m]
    PointField function;          ///< f at fractional coordinates, any unit
    std::array<bool, 3> varies{}; ///< along x, y, z; a honeycomb does not vary along its axis
    SolidSide side = SolidSide::Wall;
    double level = 0.0;           ///< of the surface that the offset starts from, unit of f
    std::optional<double> offset; ///< t, where the file sets one [unit of f]
};

/// g at fractional coordinates for Wall and Below, -g for Above, in place of f.
void shift_to_level(const LevelSetCell& cell, std::span<double> values);

/// The cell with its size multiplied by `factor` (> 0); levels and offsets have no length in them.
[[nodiscard]] LevelSetCell scaled(const LevelSetCell& cell, double factor);

} // namespace cellgrade
