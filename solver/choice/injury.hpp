// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace cellgrade {

/// Acceleration over time, straight lines between samples; two samples of one time are a jump.
struct AccelerationPulse {
    std::vector<double> time_s;         ///< never falls
    std::vector<double> acceleration_g; ///< in units of standard gravity; one a time
};

/// A head injury criterion and the window that it belongs to.
struct HeadInjury {
    double value = 0.0; ///< [s], by custom without unit
    double from_s = 0.0;
    double to_s = 0.0;
};

/// Windows of the two criteria that rules name.
inline constexpr double hic15_window_s = 0.015, hic36_window_s = 0.036;

/// Largest value over all windows that are no longer than `longest_window_s`,
///
///   HIC = max (t2 - t1) [1 / (t2 - t1) integral_t1^t2 a dt]^2.5
///
/// Windows begin and end at samples, or one longest window before or after one; as the maximum is
/// flat, that loses the square of (sampling step / window). With V the integral of a,
/// (dV)^2.5 / dt^1.5 is convex in (dt, dV) and so the largest of its tangents:
///
///   HIC = max_u 2.5 u^1.5 M(0.6 u),   M(c) = max over windows of the integral of (a - c)
///
/// M is one walk over the samples with a running minimum; it is convex in c, so its chord bounds
/// what an interval of u can hold and intervals are halved only while they can hold more than was
/// found. Cost n log(1 / 1e-9), n samples, instead of n^2.
///
/// Source: Versace (1971), Stapp Car Crash Conf. 15, 771; 49 CFR 571.208 S6.2 for 15 and 36 ms.
/// @throws Error (Input) for columns of unequal length, times that fall, a value that is not finite
[[nodiscard]] HeadInjury head_injury_criterion(const AccelerationPulse& pulse,
                                               double longest_window_s);

/// Integral of a^2.5 over the pulse, exact for straight lines; negative accelerations count as 0.
///
/// Source: Gadd (1966), Stapp Car Crash Conf. 10, 164.
/// @throws as head_injury_criterion()
[[nodiscard]] double severity_index(const AccelerationPulse& pulse);

} // namespace cellgrade
