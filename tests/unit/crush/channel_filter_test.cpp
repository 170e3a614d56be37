// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/channel_filter.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <vector>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double interval = 1e-5; // [s]

std::vector<double> sine(double frequency, double duration) {
    std::vector<double> x(static_cast<std::size_t>(duration / interval));
    for (std::size_t i = 0; i < x.size(); ++i)
        x[i] = std::sin(2.0 * std::numbers::pi * frequency * static_cast<double>(i) * interval);
    return x;
}

/// Largest value in the middle third, where both ends are forgotten.
double middle_peak(const std::vector<double>& x) {
    const auto third = static_cast<std::ptrdiff_t>(x.size() / 3);
    return *std::max_element(x.begin() + third, x.end() - third);
}

} // namespace

// Problem    sines through the filter of a channel frequency class
// Exact      bilinear Butterworth of two poles, both ways: 1/(1 + (tan(pi f T)/tan(pi f_c T))^4),
//            f_c = 2.0775 CFC; the corridors of the standard: within 0.5 dB at the class (lower
//            bound -1 dB), between -1 and -4 dB at 1.65 times it
// Source     Oppenheim & Schafer, Discrete-Time Signal Processing; ISO 6487, SAE J211-1 (both from
//            memory)
// Tolerance  a peak may lie half a sample off: 1 - cos(pi f T) < (pi f T)^2/2, and 1e-6 for the
// ends
TEST_CASE("channel filter: sines keep their class's share of amplitude and their phase") {
    for (const double channel_class : {180.0, 600.0, 1000.0})
        for (const double ratio : {0.2, 1.0, 1.65, 4.0}) {
            const double f = ratio * channel_class;
            const std::vector<double> y = channel_filtered(sine(f, 0.06), interval, channel_class);
            const double pass = std::tan(std::numbers::pi * f * interval) /
                                std::tan(std::numbers::pi * 2.0775 * channel_class * interval);
            const double gain = 1.0 / (1.0 + std::pow(pass, 4));
            const double between = 0.5 * std::pow(std::numbers::pi * f * interval, 2);
            CHECK(rel_err(middle_peak(y), gain) < between + 1e-6);
            const double decibel = 20.0 * std::log10(gain);
            if (ratio == 1.0)
                CHECK((decibel > -1.0 && decibel < 0.5));
            if (ratio == 1.65)
                CHECK((decibel > -4.0 && decibel < -1.0));
        }
}

TEST_CASE("channel filter: a pulse keeps its impulse and its middle") {
    std::vector<double> x(4001, 0.0);
    for (int i = 1800; i <= 2200; ++i)
        x[i] = 1.0;
    const std::vector<double> y = channel_filtered(x, interval, 1000.0);
    CHECK(rel_err(std::accumulate(y.begin(), y.end(), 0.0), 401.0) < 1e-9);
    double moment = 0.0;
    for (std::size_t i = 0; i < y.size(); ++i)
        moment += y[i] * static_cast<double>(i);
    CHECK(rel_err(moment / 401.0, 2000.0) < 1e-9);
    // a level is passed on as it is, and held behind the last sample
    CHECK(rel_err(channel_filtered(std::vector<double>(3000, 2.0), interval, 1000.0).back(), 2.0) <
          1e-9);
}

TEST_CASE("channel filter: too few samples are refused") {
    const std::vector<double> x(100, 1.0);
    CHECK_THROWS_WITH_AS((void)channel_filtered(x, 2e-4, 1000.0),
                         doctest::Contains("at most 0.0001 s"), Error);
    CHECK_THROWS_AS((void)channel_filtered(x, 1e-5, 0.0), Error);
}
