// SPDX-License-Identifier: Apache-2.0
#include "solver/report/plot_axis.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

namespace {

std::vector<std::string> labels(const std::vector<Tick>& ticks) {
    std::vector<std::string> words;
    for (const Tick& tick : ticks)
        words.push_back(tick.label);
    return words;
}

} // namespace

TEST_CASE("axis: ticks at 1, 2 or 5 times a power of ten") {
    CHECK(labels(axis_ticks({.low = 0.0, .high = 0.85}, 5)) ==
          std::vector<std::string>{"0.0", "0.2", "0.4", "0.6", "0.8"});
    CHECK(labels(axis_ticks({.low = 0.0, .high = 25.0}, 5)) ==
          std::vector<std::string>{"0", "5", "10", "15", "20", "25"});
    CHECK(labels(axis_ticks({.low = 0.0, .high = 0.05}, 5)) ==
          std::vector<std::string>{"0.00", "0.01", "0.02", "0.03", "0.04", "0.05"});
}

TEST_CASE("axis: a range from zero holds its largest value and ends on a tick") {
    for (const double largest : {0.0123, 0.99, 1.0, 1.01, 7.7, 430.0, 1e6}) {
        const PlotAxis axis = axis_from_zero(largest, 5);
        CHECK(axis.high >= largest * (1.0 - 1e-9));
        CHECK(axis.high < 1.6 * largest);
        CHECK(test::rel_err(axis_ticks(axis, 5).back().value, axis.high) < 1e-12);
    }
}

TEST_CASE(
    "axis: a range about zero holds both ends on ticks; noise about rest opens no lower half") {
    const PlotAxis axis = axis_about_zero(-3.1, 7.7, 5);
    CHECK(axis.low <= -3.1);
    CHECK(axis.high >= 7.7);
    CHECK(test::rel_err(axis_ticks(axis, 5).front().value, axis.low) < 1e-12);
    CHECK(test::rel_err(axis_ticks(axis, 5).back().value, axis.high) < 1e-12);
    CHECK(axis_about_zero(-0.01, 7.7, 5).low == 0.0);
    CHECK(axis_about_zero(-0.01, 7.7, 5).high == axis_from_zero(7.7, 5).high);
}

TEST_CASE("axis: a log range ends at 1-2-5 numbers and lays decades evenly") {
    const PlotAxis axis = log_axis(0.03, 42.0);
    CHECK(test::rel_err(axis.low, 0.02) < 1e-12);
    CHECK(test::rel_err(axis.high, 50.0) < 1e-12);
    CHECK(test::rel_err(axis.share(1.0), (axis.share(0.1) + axis.share(10.0)) / 2.0) < 1e-12);
    CHECK(labels(axis_ticks(axis, 5)) == std::vector<std::string>{"0.1", "1", "10"});
    CHECK(labels(axis_ticks(log_axis(1.5, 4.0), 5)) == std::vector<std::string>{"1", "2", "5"});
}
