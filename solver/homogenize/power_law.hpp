// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <span>

namespace cellgrade {

/// y = coefficient x^exponent through positive points, with intervals.
struct PowerLaw {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    double coefficient = unknown, coefficient_low = unknown, coefficient_high = unknown;
    double exponent = unknown, exponent_low = unknown, exponent_high = unknown;
    double worst_share = unknown; ///< largest |fit / y - 1| of the points [-]

    /// coefficient x^exponent.
    [[nodiscard]] double at(double x) const;
};

/// Straight line through (ln x, ln y) by least squares.
///
///   ln y = ln C + n ln x      s^2 = sum of squares / (points - 2)
///   n +- t s / sqrt(Sxx)      ln C +- t s sqrt(1/points + mean(ln x)^2 / Sxx)
///
/// t of Student with points - 2 degrees of freedom. Two points give the values and no interval
/// (NaN). The intervals hold for scatter that is alike in shares of y; where the points bend off a
/// power law they are too narrow to extrapolate by.
/// Source: Draper & Smith (1998), Applied Regression Analysis, sec. 1.4 (from memory).
/// @param level  of the two-sided intervals, 0.95 by default
/// @throws Error (Input) for columns of unequal length, fewer than two points, points that are not
///         above 0, or all of one x
[[nodiscard]] PowerLaw
fit_power_law(std::span<const double> x, std::span<const double> y, double level = 0.95);

} // namespace cellgrade
