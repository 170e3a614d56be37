// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/channel_filter.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

struct Coefficients {
    double a0, a1, a2, b1, b2;
};

Coefficients coefficients(double interval_s, double channel_class_Hz) {
    const double wd = 2.0 * std::numbers::pi * 2.0775 * channel_class_Hz;
    const double wa = std::tan(0.5 * wd * interval_s);
    const double n = 1.0 + std::numbers::sqrt2 * wa + wa * wa;
    const double a0 = wa * wa / n;
    return {a0, 2.0 * a0, a0, 2.0 * (1.0 - wa * wa) / n,
            -(1.0 - std::numbers::sqrt2 * wa + wa * wa) / n};
}

/// One pass in place; before the first sample all is `rest`.
template <class Iterator>
void pass(Iterator first, Iterator last, const Coefficients& c, double rest) {
    double x1 = rest, x2 = rest, y1 = rest, y2 = rest;
    for (; first != last; ++first) {
        const double x = *first;
        const double y = c.a0 * x + c.a1 * x1 + c.a2 * x2 + c.b1 * y1 + c.b2 * y2;
        x2 = x1;
        x1 = x;
        y2 = y1;
        y1 = y;
        *first = y;
    }
}

} // namespace

std::vector<double>
channel_filtered(std::span<const double> samples, double interval_s, double channel_class_Hz) {
    CELLGRADE_CHECK(channel_class_Hz > 0.0 && std::isfinite(channel_class_Hz),
                    "channel frequency class is {} Hz; give a finite value > 0", channel_class_Hz);
    CELLGRADE_CHECK(interval_s > 0.0 && interval_s * 10.0 * channel_class_Hz <= 1.0 + 1e-9,
                    "samples {:.3g} s apart are too few for channel frequency class {:.4g}; at "
                    "most {:.3g} s",
                    interval_s, channel_class_Hz, 0.1 / channel_class_Hz);
    if (samples.empty())
        return {};
    // The response dies out by exp(-w t / sqrt 2); a period of 1 / CFC is 13 radians.
    const auto tail = static_cast<std::size_t>(std::ceil(5.0 / (channel_class_Hz * interval_s)));
    std::vector<double> y(tail, 0.0);
    y.insert(y.end(), samples.begin(), samples.end());
    y.insert(y.end(), tail, samples.back());
    const Coefficients c = coefficients(interval_s, channel_class_Hz);
    pass(y.begin(), y.end(), c, 0.0);
    pass(y.rbegin(), y.rend(), c, y.back());
    return {y.begin() + static_cast<std::ptrdiff_t>(tail),
            y.begin() + static_cast<std::ptrdiff_t>(tail + samples.size())};
}

} // namespace cellgrade
