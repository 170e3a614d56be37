// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/power_law.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/noise.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace cellgrade;
using test::rel_err;

TEST_CASE("power law: points on one give it back, without width") {
    std::vector<double> x{0.05, 0.1, 0.2, 0.3}, y;
    for (const double each : x)
        y.push_back(0.7 * std::pow(each, 1.9));
    const PowerLaw law = fit_power_law(x, y);
    CHECK(rel_err(law.coefficient, 0.7) < 1e-12);
    CHECK(rel_err(law.exponent, 1.9) < 1e-12);
    CHECK(law.exponent_high - law.exponent_low < 1e-12);
    CHECK(law.worst_share < 1e-12);
    CHECK(rel_err(law.at(0.15), 0.7 * std::pow(0.15, 1.9)) < 1e-12);
}

// Exact      by hand in natural logarithms: x = -1, 0, 1 (e^-1, 1, e), y = 0, 1, 3: slope 3/2,
//            intercept 4/3, residuals 1/6, -1/3, 1/6, s^2 = (1/36 + 4/36 + 1/36) / 1 = 1/6, Sxx 2.
//            t of one degree of freedom at 95 %: 12.7062 (table of Student 1908).
TEST_CASE("power law: three points by hand") {
    const double e = std::exp(1.0);
    const std::vector<double> x{1.0 / e, 1.0, e}, y{1.0, e, e * e * e};
    const PowerLaw law = fit_power_law(x, y);
    constexpr double t = 12.7062;
    const double s = std::sqrt(1.0 / 6.0);
    CHECK(rel_err(law.exponent, 1.5) < 1e-12);
    CHECK(rel_err(law.coefficient, std::exp(4.0 / 3.0)) < 1e-12);
    CHECK(rel_err(law.exponent_high - 1.5, t * s / std::sqrt(2.0)) < 1e-5);
    CHECK(rel_err(1.5 - law.exponent_low, t * s / std::sqrt(2.0)) < 1e-5);
    CHECK(rel_err(std::log(law.coefficient_high) - 4.0 / 3.0, t * s / std::sqrt(3.0)) < 1e-5);
    CHECK(rel_err(law.worst_share, std::exp(1.0 / 3.0) - 1.0) < 1e-12);
}

TEST_CASE("power law: two points have no interval, and bad points are named") {
    const PowerLaw law = fit_power_law(std::vector{0.1, 0.2}, std::vector{1.0, 4.0});
    CHECK(rel_err(law.exponent, 2.0) < 1e-12);
    CHECK(std::isnan(law.exponent_low));
    CHECK(std::isnan(law.coefficient_high));
    const auto complaint = [](std::vector<double> x, std::vector<double> y) -> std::string {
        try {
            static_cast<void>(fit_power_law(x, y));
        } catch (const Error& e) {
            return e.what();
        }
        return "";
    };
    CHECK(complaint({0.1}, {1.0}).find("two points or more, 1 given") != std::string::npos);
    CHECK(complaint({0.1, 0.2}, {1.0, 0.0}).find("point 2 of a power law is (0.2, 0)") == 0);
    CHECK(complaint({0.1, 0.2}, {1.0, NAN}).find("point 2") == 0);
    CHECK(complaint({0.1, 0.1}, {1.0, 2.0}).find("all 2 points") == 0);
    CHECK(complaint({0.1, 0.2, 0.3}, {1.0, 2.0}).find("3 abscissae but 2") == 0);
}

// Problem    5 % scatter on six points of 0.9 x^2.1, 400 seeds
// Exact      95 % intervals hold the truth 380 times of 400 on average; a binomial count lies
//            within 3 standard deviations, sqrt(400 x 0.95 x 0.05) = 4.36, of it 99.7 % of the time
TEST_CASE("power law: its intervals hold the truth as often as they say") {
    const std::vector<double> x{0.04, 0.06, 0.09, 0.13, 0.2, 0.3};
    int exponent = 0, coefficient = 0;
    constexpr int seeds = 400;
    for (unsigned seed = 0; seed < seeds; ++seed) {
        test::Noise noise(seed);
        std::vector<double> y;
        for (const double each : x)
            y.push_back(0.9 * std::pow(each, 2.1) * std::exp(0.05 * noise()));
        const PowerLaw law = fit_power_law(x, y);
        exponent += law.exponent_low < 2.1 && 2.1 < law.exponent_high;
        coefficient += law.coefficient_low < 0.9 && 0.9 < law.coefficient_high;
    }
    CHECK(std::abs(exponent - 380) < 14);
    CHECK(std::abs(coefficient - 380) < 14);
}
