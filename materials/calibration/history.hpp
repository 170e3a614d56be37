// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Makes the rows of a UniaxialCycle ready for a fit; each thing done is noted.
///
/// The whole path is kept, turned at no place. Time counts from the first row; without a column of
/// time it is the way in nominal strain over the rate. More than 200 rows: every k-th is kept, and
/// in between those at which the strain turns by more than 0.2 % of its range; nothing is averaged.
/// A rate that is not given is the median of |d strain/d time| where the strain moves.
/// Errors (file): fewer than eight rows; neither time nor rate; time that falls; stress of the
/// other sign than the strain over the first loading; no strain at all.
void prepare_history(Coupon& coupon);

/// Leaves out what lies beyond a nominal strain: of a cycle everything from the first such row on.
/// Errors (file): fewer than three rows are left (eight of a cycle).
void limit_strain(Coupon& coupon, double largest_strain);

/// Whether a history goes back by half of its largest strain.
[[nodiscard]] bool unloads(const Coupon& coupon);

/// Whether it is loaded again after such an unloading.
[[nodiscard]] bool reloads(const Coupon& coupon);

/// Slowest and fastest rate of the coupons that have one; infinity and 0 when none has.
struct RateRange {
    double slow_per_s, fast_per_s; ///< of nominal strain
};
[[nodiscard]] RateRange tested_rates(std::span<const Coupon> coupons);

/// Shortest and longest time that histories can tell relaxation at [s]: the smallest median spacing
/// of the rows and the longest duration of a test.
struct TimeWindow {
    double shortest_s, longest_s;
};
[[nodiscard]] TimeWindow time_window(std::span<const Coupon> coupons);

/// Relaxation times of a fit: powers of 10^(1/2) inside the window, of 10 when it is wider than
/// four decades.
[[nodiscard]] std::vector<double> relaxation_times_s(const TimeWindow& window);

} // namespace cellgrade
