// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/monotone_cubic.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/noise.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

using namespace cellgrade;

namespace {

struct Points {
    std::vector<double> x, y;
};

Points random_points(test::Noise& noise, std::size_t n) {
    Points p;
    for (std::size_t i = 0; i < n; ++i) {
        p.x.push_back((i > 0 ? p.x.back() : -1.0) + 1e-3 + std::pow(10.0, noise()));
        // Flats and equal neighbours too.
        p.y.push_back(i % 3 == 2 ? p.y.back() : std::pow(10.0, 2.0 * noise()));
    }
    return p;
}

} // namespace

TEST_CASE("monotone cubic: a straight line is given back, inside and outside") {
    const std::vector<double> x{0.0, 0.3, 1.0, 1.1, 4.0}, y{2.0, 2.9, 5.0, 5.3, 14.0};
    for (double at = -1.0; at < 5.0; at += 0.07)
        CHECK(std::abs(monotone_cubic(x, y, at) - (2.0 + 3.0 * at)) < 4e-15 * 20.0);
}

TEST_CASE("monotone cubic: a parabola is given back where no slope is limited") {
    // Slopes of the parabola through three points are exact for a parabola, and a cubic through two
    // values and two slopes is then that parabola. Its slopes stay below three chords here.
    const std::vector<double> x{1.0, 1.7, 2.0, 3.5};
    std::vector<double> y;
    for (const double each : x)
        y.push_back(each * each);
    for (double at = 1.0; at <= 3.5; at += 0.05)
        CHECK(test::rel_err(monotone_cubic(x, y, at), at * at) < 1e-15 * 8.0);
}

TEST_CASE("monotone cubic: random points are never left, and no extremum is added") {
    test::Noise noise(7);
    for (int round = 0; round < 200; ++round) {
        const Points p = random_points(noise, 2 + static_cast<std::size_t>(round % 7));
        for (std::size_t i = 0; i + 1 < p.x.size(); ++i) {
            const double low = std::min(p.y[i], p.y[i + 1]), high = std::max(p.y[i], p.y[i + 1]);
            double before = p.y[i];
            for (int k = 0; k <= 40; ++k) {
                const double at = std::min(p.x[i] + (p.x[i + 1] - p.x[i]) * k / 40.0, p.x[i + 1]);
                const double value = monotone_cubic(p.x, p.y, at);
                CHECK(value >= low);
                CHECK(value <= high);
                const double step = (value - before) * (p.y[i + 1] < p.y[i] ? -1.0 : 1.0);
                CHECK(step >= -1e-14 * high); // rounding of the cubic's four terms
                before = value;
            }
        }
    }
}

TEST_CASE("monotone cubic: the points of the stencil give the value of all points") {
    test::Noise noise(11);
    for (int round = 0; round < 100; ++round) {
        const Points p = random_points(noise, 1 + static_cast<std::size_t>(round % 8));
        for (int k = -3; k <= 43; ++k) {
            const double at = p.x.front() + (p.x.back() + 0.1 - p.x.front()) * k / 40.0;
            const AxisStencil s = stencil_at(p.x, at, 1e-12);
            CHECK(s.outside == (s.count > 1 || p.x.size() == 1
                                    ? (at < p.x.front() - 1e-12 || at > p.x.back() + 1e-12)
                                    : false));
            const double local = monotone_cubic(std::span(p.x).subspan(s.first, s.count),
                                                std::span(p.y).subspan(s.first, s.count), at);
            CHECK(std::abs(local - monotone_cubic(p.x, p.y, at)) <=
                  (s.count == 1 ? 1e-8 : 1e-14) * (1.0 + std::abs(local)));
        }
    }
}

TEST_CASE("monotone cubic: of order 3 between points, as three-point slopes are of order 2") {
    std::vector<double> error;
    for (const int n : {16, 32, 64}) {
        std::vector<double> x, y;
        for (int i = 0; i <= n; ++i) {
            x.push_back(1.0 + static_cast<double>(i) / n);
            y.push_back(std::exp(x.back()));
        }
        const double at = 1.5 + 0.25 / n;
        error.push_back(std::abs(monotone_cubic(x, y, at) - std::exp(at)));
    }
    CHECK(std::abs(std::log2(error[0] / error[1]) - 3.0) < 0.1);
    CHECK(std::abs(std::log2(error[1] / error[2]) - 3.0) < 0.05);
}
