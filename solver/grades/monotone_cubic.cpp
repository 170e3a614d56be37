// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/monotone_cubic.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

/// First of the two points between which `at` lies; the end interval outside.
std::size_t interval(std::span<const double> x, double at) {
    const auto above = std::upper_bound(x.begin() + 1, x.end() - 1, at);
    return static_cast<std::size_t>(above - x.begin()) - 1;
}

double chord(std::span<const double> x, std::span<const double> y, std::size_t i) {
    return (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
}

/// `slope` brought into the box of 0 to 3 chords of an interval of slope `d`.
double boxed(double slope, double d) {
    return slope * d <= 0.0 ? 0.0 : std::copysign(std::min(std::abs(slope), 3.0 * std::abs(d)), d);
}

double slope_at(std::span<const double> x, std::span<const double> y, std::size_t i) {
    const std::size_t n = x.size();
    if (n == 2)
        return chord(x, y, 0);
    if (i > 0 && i + 1 < n) {
        const double before = chord(x, y, i - 1), after = chord(x, y, i);
        const double h = x[i] - x[i - 1], k = x[i + 1] - x[i];
        return boxed(boxed((k * before + h * after) / (h + k), before), after);
    }
    const std::size_t near = i == 0 ? 0 : n - 2, far = i == 0 ? 1 : n - 3;
    const double h = x[near + 1] - x[near], k = x[far + 1] - x[far];
    return boxed(((2.0 * h + k) * chord(x, y, near) - h * chord(x, y, far)) / (h + k),
                 chord(x, y, near));
}

} // namespace

AxisStencil stencil_at(std::span<const double> x, double at, double tolerance) {
    for (std::size_t i = 0; i < x.size(); ++i)
        if (std::abs(x[i] - at) <= tolerance)
            return {.first = i, .count = 1};
    const bool outside = at < x.front() || at > x.back();
    if (x.size() == 1)
        return {.outside = outside};
    const std::size_t i = interval(x, at);
    const std::size_t first = i > 0 ? i - 1 : 0, last = std::min(i + 2, x.size() - 1);
    return {.first = first, .count = last - first + 1, .outside = outside};
}

double monotone_cubic(std::span<const double> x, std::span<const double> y, double at) {
    if (x.size() == 1)
        return y[0];
    if (at < x.front())
        return y.front() + slope_at(x, y, 0) * (at - x.front());
    if (at > x.back())
        return y.back() + slope_at(x, y, x.size() - 1) * (at - x.back());
    const std::size_t i = interval(x, at);
    const double h = x[i + 1] - x[i], s = (at - x[i]) / h, r = 1.0 - s;
    const double value = y[i] * (1.0 + 2.0 * s) * r * r + y[i + 1] * s * s * (1.0 + 2.0 * r) +
                         h * s * r * (slope_at(x, y, i) * r - slope_at(x, y, i + 1) * s);
    // Rounding must not leave the two values either.
    return std::clamp(value, std::min(y[i], y[i + 1]), std::max(y[i], y[i + 1]));
}

} // namespace cellgrade
