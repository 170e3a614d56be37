// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/crush/platen_drive.hpp"

#include <cmath>

namespace cellgrade {

/// Velocity of the moving platen: down (towards the other one) and along x, on one smooth ramp.
class PlatenPath {
public:
    /// Heads for both speeds from those at `time`, reached after `ramp` seconds.
    void head_for(double down, double side, double time, double ramp) {
        down_.head_for(down, time, ramp);
        side_.head_for(side, time, ramp);
    }
    [[nodiscard]] double down(double time) const { return down_.speed(time); }
    [[nodiscard]] double side(double time) const { return side_.speed(time); }
    [[nodiscard]] double speed(double time) const { return std::hypot(down(time), side(time)); }
    [[nodiscard]] Vec3 velocity(double time) const { return {side(time), 0.0, -down(time)}; }

private:
    PlatenDrive down_, side_;
};

} // namespace cellgrade
