// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Whether a curve is a whole time history.
[[nodiscard]] bool has_history(const std::vector<Coupon>& coupons);

/// What histories change in the card of a calibration: source of the Prony terms, and rates from
/// the tested ones and three times further (common practice, no source).
void put_history(PolymerCard& card, const Calibration& calibration);

/// Says in the card that it was fitted up to a strain only, in its source and at its stretches.
void put_largest_strain(PolymerCard& card, double largest_strain);

/// What histories cannot tell, one sentence each: other rates and times, damage against relaxation.
[[nodiscard]] std::vector<std::string> history_findings(const Calibration& calibration);

} // namespace cellgrade
