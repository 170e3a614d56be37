// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/elastic_fit.hpp"
#include "materials/calibration/fit_intervals.hpp"

#include <Eigen/Core>

#include <span>
#include <vector>

namespace cellgrade {

// What every joint fit of several curves needs; formulae at fit_elastic.

/// Largest magnitude of a curve's stress [Pa].
[[nodiscard]] double largest_stress(const Coupon& coupon);

/// Weight over scale of each curve [1/Pa]: residuals are of order 1 for no fit at all.
[[nodiscard]] std::vector<double> curve_factors(std::span<const Coupon> coupons,
                                                CurveWeighting weighting);

/// Rows of all curves.
[[nodiscard]] Eigen::Index row_count(std::span<const Coupon> coupons);

/// One past the last row of each curve.
[[nodiscard]] std::vector<Eigen::Index> curve_ends(std::span<const Coupon> coupons);

/// AICc; HUGE_VAL with too few rows.
[[nodiscard]] double
corrected_information(double sum_of_squares, Eigen::Index rows, Eigen::Index variables);

/// Autocorrelation of residuals that follow one another in a curve, about zero.
[[nodiscard]] double lag_one(const Eigen::VectorXd& residual,
                             const std::vector<Eigen::Index>& ends);

/// All parameters of a law with the intervals of the free ones, which come first in `intervals`.
[[nodiscard]] std::vector<FittedValue>
values_of(const CandidateLaw& model, const AnyLaw& law, const FitIntervals& intervals);

} // namespace cellgrade
