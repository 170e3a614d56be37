// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace cellgrade {

/// What repeated readings of one quantity tell; in the unit of the readings.
struct ReadingStatistics {
    int n = 0;
    double mean = 0.0;
    double sd = 0.0;              ///< sample standard deviation, n - 1 under it
    double low = 0.0, high = 0.0; ///< 95 % interval of the mean

    bool operator==(const ReadingStatistics&) const = default;
};

/// Mean, sample standard deviation and the interval of the mean:
///
///   mean -+ t s / sqrt(n)        t of Student, n - 1 degrees of freedom, 95 %
///
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2. For readings that are
/// independent and about normal.
/// @param readings  at least two, else an input Error
[[nodiscard]] ReadingStatistics reading_statistics(std::span<const double> readings);

/// The middle one of the values, of an even number the upper of the two; at least one value.
[[nodiscard]] double median(std::vector<double> values);

/// Readings that come in groups, such as struts of several prints.
struct GroupStatistics {
    ReadingStatistics groups; ///< of groups: n of them, sd between them, interval of their mean
    double sd_within = 0.0;   ///< of readings inside a group
};

/// One-way analysis of variance with random groups:
///
///   within^2 = MSW        between^2 = (MSB - MSW) / n0, at least 0
///   n0 = (N - sum n_i^2 / N) / (k - 1) readings a group
///
/// The mean is that of the k group means, its interval by their own scatter (k - 1 degrees of
/// freedom). Source: Montgomery, Design and Analysis of Experiments, random effects model (from
/// memory).
/// @param groups  at least two, and three readings in all, else an input Error; none empty
[[nodiscard]] GroupStatistics group_statistics(std::span<const std::vector<double>> groups);

/// Largest |reading - mean| / sd that chance leaves n readings, by Grubbs's test:
///
///   (n - 1)/sqrt(n) sqrt(t^2 / (n - 2 + t^2))        t of n - 2, one-sided at tail / n
///
/// Source: Grubbs 1969, Technometrics 11:1, as in NIST/SEMATECH e-Handbook 1.3.5.17.1.
/// @param tail  chance to be above it on one side; 0.025 for a two-sided test at 5 %
/// @param n     at least 3
[[nodiscard]] double grubbs_limit(int n, double tail);

/// The reading furthest from the mean, where Grubbs's two-sided test at 5 % takes it for an
/// outlier; nothing below seven readings, of which the test finds outliers where none are (NIST,
/// the same page). @return its index
[[nodiscard]] std::optional<std::size_t> outlier(std::span<const double> readings);

/// Slope of y over x with the 95 % interval it has if y scatters normally around a line.
struct SlopeInterval {
    double slope = 0.0, low = 0.0, high = 0.0;
};

/// Least squares:
///
///   slope = Sxy / Sxx        -+ t s / sqrt(Sxx), s^2 = (sum of squared residuals) / (n - 2)
///
/// Source: Draper and Smith, Applied Regression Analysis (from memory). Nothing for fewer than
/// three points or one value of x.
[[nodiscard]] std::optional<SlopeInterval> slope_interval(std::span<const double> x,
                                                          std::span<const double> y);

/// Difference of two means in the unit of its 95 % reach, Welch's test: above 1 in size, they
/// differ.
///
///   (mean_a - mean_b) / (t sqrt(s_a^2/n_a + s_b^2/n_b)), degrees of freedom by Welch-Satterthwaite
///
/// Source: NIST/SEMATECH e-Handbook 1.3.5.3. Infinite when neither scatters and the means differ.
[[nodiscard]] double welch_ratio(const ReadingStatistics& a, const ReadingStatistics& b);

/// Ratio of two means, each with its scatter.
struct RatioStatistics {
    double ratio = 0.0;
    double sd = 0.0;              ///< of the ratio of one further reading each
    double low = 0.0, high = 0.0; ///< 95 % interval of the ratio of the means
};

/// mean_a / mean_b; scatter by first-order propagation of independent errors:
///
///   sd = r sqrt(c_a^2 + c_b^2), c = s/mean        r exp(-+ t sqrt(c_a^2/n_a + c_b^2/n_b))
///
/// with the degrees of freedom of Welch-Satterthwaite. Source: NIST/SEMATECH e-Handbook 2.5.5;
/// the interval is that of the logarithm, own choice: a ratio is never below 0.
/// @param a,b  means above 0
[[nodiscard]] RatioStatistics ratio_statistics(const ReadingStatistics& a,
                                               const ReadingStatistics& b);

} // namespace cellgrade
