// SPDX-License-Identifier: Apache-2.0
// Exact: the C library's erf and exp.
#include "solver/core/lane_erf.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>

using namespace cellgrade;

// Tolerance  interpolation 7e-17; coefficients of up to 2.6 that alternate, rounded: about
//            ten units in the last place of 1
TEST_CASE("lane error function: within 1e-15 of the C library, double and pack") {
    double worst = 0.0, worst_gauss = 0.0;
    for (double x = 0.0; x < 8.0; x += 0.000371) {
        const lane::ErrorFunction<double> one = lane::error_function(x);
        const lane::ErrorFunction<Pack> many = lane::error_function(Pack(x));
        worst = std::max({worst, std::abs(one.erf - std::erf(x)), std::abs(many.erf[0] - one.erf)});
        worst_gauss = std::max(worst_gauss, std::abs(one.gauss - std::exp(-x * x)));
    }
    CHECK(worst < 1e-15);
    CHECK(worst_gauss < 3e-16);
    CHECK(lane::error_function(1e300).erf == 1.0);
    CHECK(std::isnan(lane::error_function(std::numeric_limits<double>::quiet_NaN()).erf));
}
