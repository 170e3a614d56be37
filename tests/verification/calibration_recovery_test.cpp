// SPDX-License-Identifier: Apache-2.0
// Made data: a known law plus noise, and how often the stated interval holds the truth.
#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/elastic_fit.hpp"
#include "materials/calibration/prony_fit.hpp"
#include "tests/support/noise.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

using namespace cellgrade;

namespace {

Coupon made(const AnyLaw& law, CouponMode mode, double from, double to, int rows) {
    Coupon c{.name = std::string(mode_name(mode)), .mode = mode};
    for (int i = 1; i <= rows; ++i)
        c.stretch.push_back(from + (to - from) * i / rows);
    c.stress_Pa = coupon_stresses(law, {}, mode, c.stretch, {});
    return c;
}

void add_noise(Coupon& c, double deviation_Pa, test::Noise& noise) {
    for (double& P : c.stress_Pa)
        P += deviation_Pa * noise();
}

const FixedValues solid{.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.495};

AnyLaw yeoh_truth() {
    const double mu = 1.2e6;
    return Yeoh{.C10 = 0.5 * mu,
                .C20 = -0.04 * mu,
                .C30 = 0.006 * mu,
                .kappa = mu * 2.0 * 1.495 / (3.0 * 0.01),
                .void_fraction = 0.0};
}

constexpr int n_seeds = 1000;

/// 93 of 100, as promised; above 97 the interval would be wider than it says. With a true coverage
/// of 95 % a count of 1000 leaves this band with probability 0.004 (binomial, deviation 0.7 %).
void check_coverage(int inside) {
    CHECK(inside >= 93 * n_seeds / 100);
    CHECK(inside <= 97 * n_seeds / 100);
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Problem    Yeoh solid, tension and compression, 25 rows each, noise of 2 % of its tallest stress
// in
//            one curve and 1 % in the other
// Exact      the law that made the data
TEST_CASE("calibration: the truth of an elastic law lies in its 95 % interval") {
    const Yeoh truth = std::get<Yeoh>(yeoh_truth());
    const std::array<double, 3> want{truth.C10, truth.C20, truth.C30};
    std::array<int, 3> inside{};
    for (unsigned seed = 1; seed <= n_seeds; ++seed) {
        test::Noise noise(seed);
        std::vector<Coupon> coupons{
            made(yeoh_truth(), CouponMode::UniaxialTension, 1.0, 2.5, 25),
            made(yeoh_truth(), CouponMode::UniaxialCompression, 1.0, 0.5, 25)};
        add_noise(coupons[0], 0.02 * std::abs(coupons[0].stress_Pa.back()), noise);
        add_noise(coupons[1], 0.01 * std::abs(coupons[1].stress_Pa.back()), noise);
        const ElasticFit fit = fit_elastic({"yeoh"}, coupons, solid, {.starts = 2});
        for (std::size_t k = 0; k < 3; ++k)
            inside[k] += fit.values[k].low <= want[k] && want[k] <= fit.values[k].high ? 1 : 0;
    }
    for (const int count : inside) {
        INFO("inside ", inside[0], " ", inside[1], " ", inside[2]);
        check_coverage(count);
    }
}

// Problem    two Prony terms (references D13: .3 at .01 s, .2 at .1 s), 80 readings from 1 ms to 10
// s,
//            noise of 0.5 % of each
// Exact      the terms that made the data
TEST_CASE("calibration: the truth of a Prony series lies in its 95 % intervals") {
    const std::array<PronyTerm, 2> truth{{{0.3, 0.01}, {0.2, 0.1}}};
    std::array<int, 5> inside{};
    int right_count = 0;
    for (unsigned seed = 1; seed <= n_seeds; ++seed) {
        test::Noise noise(seed);
        std::vector<TimeCurve> curves(1);
        for (int i = 0; i < 80; ++i) {
            const double t = 1e-3 * std::pow(10.0, 4.0 * i / 79.0);
            curves[0].time_s.push_back(t);
            curves[0].modulus_Pa.push_back(2e6 * relaxation(truth, t) * (1.0 + 5e-3 * noise()));
        }
        const PronyFit fit = fit_prony(curves, {.most_terms = 2, .choose_count = false});
        REQUIRE(fit.terms.size() == 2);
        for (std::size_t k = 0; k < 2; ++k) {
            const FittedTerm& f = fit.terms[k];
            inside[2 * k] += f.share_low <= truth[k].share && truth[k].share <= f.share_high;
            inside[2 * k + 1] +=
                f.time_low_s <= truth[k].time_s && truth[k].time_s <= f.time_high_s;
        }
        inside[4] += fit.instantaneous_low_Pa <= 2e6 && 2e6 <= fit.instantaneous_high_Pa;
        if (seed <= 100)
            right_count += fit_prony(curves, {.most_terms = 5}).terms.size() == 2 ? 1 : 0;
    }
    INFO("inside ", inside[0], " ", inside[1], " ", inside[2], " ", inside[3], " ", inside[4],
         ", right count ", right_count);
    for (const int count : inside)
        check_coverage(count);
    // BIC takes two values too many where chi^2 of 2 is above 2 ln 80 = 8.8, 1.2 % of the time a
    // step: 3 of 100 for three steps, and 5 more by the binomial's deviation of 1.7.
    CHECK(right_count >= 92);
}
