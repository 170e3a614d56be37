// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/level_set_cell.hpp"

#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {

void shift_to_level(const LevelSetCell& cell, std::span<double> values) {
    const double sign = cell.side == SolidSide::Above ? -1.0 : 1.0;
    for (double& f : values)
        f = sign * (f - cell.level);
}

LevelSetCell scaled(const LevelSetCell& cell, double factor) {
    CELLGRADE_CHECK(std::isfinite(factor) && factor > 0.0,
                    "cell size factor {} is not allowed; a number above 0 is needed", factor);
    LevelSetCell larger = cell;
    larger.size *= factor;
    return larger;
}

} // namespace cellgrade
