// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_case.hpp"

namespace cellgrade {

/// Least peak that any pad of a thickness can have: a constant force over all of it.
///
///   a / g = speed^2 / (2 g thickness)       force = mass a
///
/// Work and energy; without weight, which adds 1 g to what an accelerometer reads. No pad reaches
/// it: material takes up room when it is crushed, and a force does not rise at once.
[[nodiscard]] double ideal_peak_g(double speed_m_per_s, double thickness_m);

/// What it means for one blow.
struct IdealPad {
    double peak_acceleration_g = 0.0;
    double peak_force_N = 0.0;
    /// Thickness below which no pad keeps the limits on acceleration and force [m]; 0 without such
    /// a limit.
    double least_thickness_m = 0.0;
    /// Whether a limit lies below what an ideal pad reaches.
    bool impossible = false;
};

[[nodiscard]] IdealPad ideal_pad(const ImpactCase& impact, double thickness_m);

} // namespace cellgrade
