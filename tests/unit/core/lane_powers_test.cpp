// SPDX-License-Identifier: Apache-2.0
// Exact: the C library in long double. Tolerance: one unit in the last place is 2.2e-16 of a value.
#include "solver/core/lane_powers.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double inf = std::numeric_limits<double>::infinity();
constexpr double ulp = 2.2205e-16;

double first(const Pack& x) {
    return x[0];
}
double exact_ln(double x) {
    return static_cast<double>(std::log(static_cast<long double>(x)));
}
double exact_exp(double x) {
    return static_cast<double>(std::exp(static_cast<long double>(x)));
}

} // namespace

TEST_CASE("lane logarithm: good to the last place over all exponents, double and pack") {
    double worst = 0.0;
    for (double x = 2.3e-308; x < 1.7e308; x *= 1.00173) {
        worst = std::max(worst, rel_err(lane::ln(x), exact_ln(x)));
        worst = std::max(worst, rel_err(first(lane::ln(Pack(x))), exact_ln(x)));
    }
    CHECK(worst < ulp);
}

TEST_CASE("lane logarithm: keeps its relative error next to 1, where it is small itself") {
    double worst = 0.0;
    for (double d = 1e-15; d < 0.5; d *= 1.0173)
        for (const double x : {1.0 + d, 1.0 - d}) {
            worst = std::max(worst, rel_err(lane::ln(x), exact_ln(x)));
            worst = std::max(worst, rel_err(first(lane::ln(Pack(x))), exact_ln(x)));
        }
    CHECK(worst < ulp);
    CHECK(lane::ln(1.0) == 0.0);
    CHECK(first(lane::ln(Pack(1.0))) == 0.0);
}

TEST_CASE("lane exponential: good to the last place over its range, double and pack") {
    double worst = 0.0;
    for (double x = -708.0; x < 709.0; x += 0.00371) {
        worst = std::max(worst, rel_err(lane::exp(x), exact_exp(x)));
        worst = std::max(worst, rel_err(first(lane::exp(Pack(x))), exact_exp(x)));
    }
    for (const double x : {-708.0, 709.0, 1e-300, -1e-17})
        worst = std::max(worst, rel_err(lane::exp(x), exact_exp(x)));
    CHECK(worst < ulp);
    CHECK(lane::exp(0.0) == 1.0);
    CHECK(first(lane::exp(Pack(0.0))) == 1.0);
}

TEST_CASE("lane logarithm and exponential: what lies outside") {
    for (const double x : {0.0, -0.0, -1.0, -1e-300, 1e-310, inf, -inf, std::nan("")}) {
        INFO(x);
        CHECK(std::isnan(lane::ln(x)));
        CHECK(std::isnan(first(lane::ln(Pack(x)))));
    }
    for (const double x : {709.5, 1e4, 1e300, inf}) {
        CHECK(lane::exp(x) == inf);
        CHECK(first(lane::exp(Pack(x))) == inf);
    }
    for (const double x : {-708.5, -1e4, -1e300, -inf}) {
        CHECK(lane::exp(x) == 0.0);
        CHECK(first(lane::exp(Pack(x))) == 0.0);
    }
    CHECK(std::isnan(lane::exp(std::nan(""))));
    CHECK(std::isnan(first(lane::exp(Pack(std::nan(""))))));
}

TEST_CASE("lane powers: x^a by exp(a ln x) over the stretches and exponents of the laws") {
    double worst = 0.0;
    for (double x = 0.05; x < 20.0; x *= 1.0173)
        for (double a = -25.0; a < 25.5; a += 0.5) {
            const double want = static_cast<double>(std::pow(static_cast<long double>(x), a));
            worst = std::max(worst, rel_err(lane::exp(a * lane::ln(x)), want));
            worst = std::max(worst, rel_err(first(lane::exp(a * lane::ln(Pack(x)))), want));
        }
    CHECK(worst < 2e-14); // |a ln x| = 75 half units
}

TEST_CASE("lane powers: a lane does not depend on its neighbours") {
    const Pack x([](auto i) { return 0.3 + 0.7 * static_cast<double>(int(i)); });
    const Pack up = lane::exp(x), down = lane::ln(x);
    for (int i = 0; i < lanes_of<Pack>; ++i) {
        const double one = x[i];
        CHECK(static_cast<double>(up[i]) == first(lane::exp(Pack(one))));
        CHECK(static_cast<double>(down[i]) == first(lane::ln(Pack(one))));
    }
}
