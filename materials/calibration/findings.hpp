// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// What the tests of a calibration cannot tell and what is doubtful in its fit, one sentence each:
/// modes, rates and temperatures that were not tested, parameters that are not determined, limits
/// of stability inside the tests, residuals that are not scatter.
///
/// A mode that was not tested carries a figure: by how much the laws that follow every test (R2 of
/// 0.95 and more) differ in it at the largest stretch tested.
[[nodiscard]] std::vector<std::string> findings_of(const Calibration& calibration,
                                                   const CalibrationStudy& study);

/// Why a fit is not to be trusted, one clause each: a curve with R2 below 0.9 (common practice, no
/// source), or no stability over the tests. Empty when it is.
[[nodiscard]] std::vector<std::string> distrust_of(const RankedFit& best);

/// Spread (largest - smallest) / mean of the stress of laws at one stretch of a mode [-]; nothing
/// for fewer than two laws that have a stress there.
[[nodiscard]] std::optional<double>
prediction_spread(const std::vector<RankedFit>& fits, CouponMode mode, double stretch);

/// Whether one of the coupons is of that mode.
[[nodiscard]] bool has_mode(const std::vector<Coupon>& coupons, CouponMode mode);

} // namespace cellgrade
