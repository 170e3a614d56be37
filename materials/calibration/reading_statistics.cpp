// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/reading_statistics.hpp"

#include "materials/calibration/student_t.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace cellgrade {

namespace {

constexpr double level = 0.95;
constexpr int least_for_outliers = 7;

double mean_of(std::span<const double> x) {
    double sum = 0.0;
    for (const double v : x)
        sum += v;
    return sum / static_cast<double>(x.size());
}

/// Two variances of means, and the degrees of freedom of their sum.
double welch_freedom(double va, int na, double vb, int nb) {
    const double sum = va + vb;
    return sum * sum / (va * va / (na - 1) + vb * vb / (nb - 1));
}

} // namespace

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

ReadingStatistics reading_statistics(std::span<const double> readings) {
    const auto n = static_cast<int>(readings.size());
    CELLGRADE_CHECK(n >= 2, "{} readings: a standard deviation needs at least two", n);
    ReadingStatistics s{.n = n, .mean = mean_of(readings)};
    for (const double v : readings)
        s.sd += (v - s.mean) * (v - s.mean);
    s.sd = std::sqrt(s.sd / (n - 1));
    const double reach = student_t_factor(level, n - 1) * s.sd / std::sqrt(n);
    s.low = s.mean - reach;
    s.high = s.mean + reach;
    return s;
}

GroupStatistics group_statistics(std::span<const std::vector<double>> groups) {
    const auto k = static_cast<double>(groups.size());
    std::vector<double> means;
    double n = 0.0, squares = 0.0, total = 0.0, within = 0.0, between = 0.0;
    for (const std::vector<double>& group : groups) {
        means.push_back(mean_of(group));
        const auto size = static_cast<double>(group.size());
        n += size;
        squares += size * size;
        total += size * means.back();
        for (const double v : group)
            within += (v - means.back()) * (v - means.back());
    }
    CELLGRADE_CHECK(groups.size() >= 2 && n > k,
                    "{} readings in {} groups: scatter between groups is told from scatter inside "
                    "them by two groups and a repeated reading at least",
                    n, groups.size());
    for (std::size_t i = 0; i < groups.size(); ++i)
        between +=
            static_cast<double>(groups[i].size()) * (means[i] - total / n) * (means[i] - total / n);
    const double msw = within / (n - k), msb = between / (k - 1.0);
    const double n0 = (n - squares / n) / (k - 1.0);
    GroupStatistics s{.groups = reading_statistics(means), .sd_within = std::sqrt(msw)};
    s.groups.sd = std::sqrt(std::max((msb - msw) / n0, 0.0));
    return s;
}

double grubbs_limit(int n, double tail) {
    const double t = student_t_factor(1.0 - 2.0 * tail / n, n - 2);
    return (n - 1) / std::sqrt(n) * std::sqrt(t * t / (n - 2 + t * t));
}

std::optional<std::size_t> outlier(std::span<const double> readings) {
    if (readings.size() < least_for_outliers)
        return std::nullopt;
    const ReadingStatistics s = reading_statistics(readings);
    std::size_t furthest = 0;
    for (std::size_t i = 1; i < readings.size(); ++i)
        if (std::abs(readings[i] - s.mean) > std::abs(readings[furthest] - s.mean))
            furthest = i;
    if (std::abs(readings[furthest] - s.mean) <= grubbs_limit(s.n, 0.025) * s.sd)
        return std::nullopt;
    return furthest;
}

std::optional<SlopeInterval> slope_interval(std::span<const double> x, std::span<const double> y) {
    const auto n = static_cast<int>(x.size());
    const double x_mean = n > 0 ? mean_of(x) : 0.0, y_mean = n > 0 ? mean_of(y) : 0.0;
    double xx = 0.0, xy = 0.0, largest = 0.0;
    for (int i = 0; i < n; ++i) {
        xx += (x[i] - x_mean) * (x[i] - x_mean);
        xy += (x[i] - x_mean) * (y[i] - y_mean);
        largest = std::max(largest, std::abs(x[i]));
    }
    if (n < 3 || !(xx > 1e-12 * largest * largest)) // one size, up to round-off
        return std::nullopt;
    const double slope = xy / xx;
    double residual = 0.0;
    for (int i = 0; i < n; ++i) {
        const double r = y[i] - y_mean - slope * (x[i] - x_mean);
        residual += r * r;
    }
    const double reach = student_t_factor(level, n - 2) * std::sqrt(residual / (n - 2) / xx);
    return SlopeInterval{slope, slope - reach, slope + reach};
}

double welch_ratio(const ReadingStatistics& a, const ReadingStatistics& b) {
    const double va = a.sd * a.sd / a.n, vb = b.sd * b.sd / b.n;
    const double difference = a.mean - b.mean;
    if (va + vb == 0.0)
        return difference == 0.0
                   ? 0.0
                   : std::copysign(std::numeric_limits<double>::infinity(), difference);
    return difference /
           (student_t_factor(level, welch_freedom(va, a.n, vb, b.n)) * std::sqrt(va + vb));
}

RatioStatistics ratio_statistics(const ReadingStatistics& a, const ReadingStatistics& b) {
    const double ca = a.sd / a.mean, cb = b.sd / b.mean;
    const double va = ca * ca / a.n, vb = cb * cb / b.n;
    RatioStatistics s{.ratio = a.mean / b.mean};
    s.sd = s.ratio * std::hypot(ca, cb);
    const double reach = va + vb == 0.0 ? 0.0
                                        : student_t_factor(level, welch_freedom(va, a.n, vb, b.n)) *
                                              std::sqrt(va + vb);
    s.low = s.ratio * std::exp(-reach);
    s.high = s.ratio * std::exp(reach);
    return s;
}

} // namespace cellgrade
