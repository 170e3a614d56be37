// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/stability.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

const StableRange& range_of(const std::vector<StableRange>& ranges, CouponMode mode) {
    for (const StableRange& r : ranges)
        if (r.mode == mode)
            return r;
    FAIL("no such mode");
    return ranges.front();
}

} // namespace

// Exact      a neo-Hookean solid is stable everywhere: its energy is convex in the log stretches.
TEST_CASE("stability: a neo-Hookean solid is stable as far as it is searched") {
    for (const StableRange& r :
         stable_ranges(NeoHookean{.mu = 1.0, .kappa = 100.0, .void_fraction = 0.0})) {
        CHECK_FALSE(r.low_found);
        CHECK_FALSE(r.high_found);
    }
}

// Problem    Yeoh solid with C20 < 0, nearly incompressible, in a planar test
// Exact      W(I1): d2W/(d ln l_i d ln l_j) = 4 W' l_i^2 d_ij + 4 W'' l_i^2 l_j^2. Changes that
// keep
//            volume are spanned by (1, 0, -1)/sqrt 2 and (1, -2, 1)/sqrt 6; the limit is where the
//            2 x 2 matrix on them has determinant 0. Root by bisection below.
// Tolerance  the search ends within 0.1 % of stretch; 1/kappa adds 1e-4.
TEST_CASE("stability: limit of a softening Yeoh solid in planar and simple shear") {
    const double c1 = 1.0, c2 = -0.12;
    const auto margin = [&](double l) {
        const double a = l * l, b = 1.0 / a, q = a + b - 2.0;
        const double first = c1 + 2.0 * c2 * q, second = 2.0 * c2;
        const double u = (a - b) / std::sqrt(2.0), v = (a + b - 2.0) / std::sqrt(6.0);
        const double uu = first * 0.5 * (a + b) + second * u * u;
        const double vv = first * (a + b + 4.0) / 6.0 + second * v * v;
        const double uv = first * (a - b) / std::sqrt(12.0) + second * u * v;
        return uu * vv - uv * uv;
    };
    double low = 1.0, high = 3.0;
    while (high - low > 1e-12)
        (margin(0.5 * (low + high)) > 0.0 ? low : high) = 0.5 * (low + high);
    const auto ranges =
        stable_ranges(Yeoh{.C10 = c1, .C20 = c2, .C30 = 0.0, .kappa = 1e4, .void_fraction = 0.0});
    const StableRange planar = range_of(ranges, CouponMode::Planar);
    REQUIRE(planar.high_found);
    CHECK(test::rel_err(planar.high, low) < 2e-3);
    CHECK(test::rel_err(planar.low, 1.0 / low) < 2e-3); // the same state, axes exchanged
    const StableRange shear = range_of(ranges, CouponMode::SimpleShear);
    CHECK(test::rel_err(shear.high, low - 1.0 / low) < 4e-3);
}
