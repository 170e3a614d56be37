// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/student_t.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <numbers>

using namespace cellgrade;

// Exact      1 degree of freedom: tan(pi level / 2) (Cauchy); 2: level sqrt(2 / (1 - level^2));
//            many: the normal quantile 1.959963985 at 95 % (printed tables; from memory), with
//            (x^3 + x)/(4 n) above it (first term of the Cornish-Fisher series).
TEST_CASE("Student factor: closed forms of one and two degrees of freedom, and the normal limit") {
    for (const double level : {0.5, 0.9, 0.95, 0.99}) {
        CHECK(test::rel_err(student_t_factor(level, 1.0),
                            std::tan(0.5 * std::numbers::pi * level)) < 1e-10);
        CHECK(test::rel_err(student_t_factor(level, 2.0),
                            level * std::sqrt(2.0 / (1.0 - level * level))) < 1e-10);
    }
    const double x = 1.959963985, n = 1e4;
    // The next term of the series is 5 x^5 / (96 n^2), 1.5e-8.
    CHECK(test::rel_err(student_t_factor(0.95, n), x + (x * x * x + x) / (4.0 * n)) < 3e-8);
}
