// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/elastic_fit.hpp"

#include "materials/calibration/coupon_response.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

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

const FixedValues solid{.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.495};

AnyLaw yeoh_truth() {
    const double mu = 1.2e6;
    return Yeoh{.C10 = 0.5 * mu,
                .C20 = -0.04 * mu,
                .C30 = 0.006 * mu,
                .kappa = mu * 2.0 * 1.495 / (3.0 * 0.01),
                .void_fraction = 0.0};
}

} // namespace

TEST_CASE("elastic fit: data without noise give the law back") {
    const std::vector<Coupon> coupons{
        made(yeoh_truth(), CouponMode::UniaxialTension, 1.0, 3.0, 20),
        made(yeoh_truth(), CouponMode::UniaxialCompression, 1.0, 0.5, 20)};
    const ElasticFit fit = fit_elastic({"yeoh"}, coupons, solid, {});
    const Yeoh truth = std::get<Yeoh>(yeoh_truth()), got = std::get<Yeoh>(fit.law);
    CHECK(test::rel_err(got.C10, truth.C10) < 1e-6);
    CHECK(test::rel_err(got.C20, truth.C20) < 1e-6);
    CHECK(test::rel_err(got.C30, truth.C30) < 1e-6);
    CHECK(test::rel_err(got.kappa, truth.kappa) < 1e-6);
    CHECK(fit.agreeing == fit.starts); // linear in its parameters: one minimum
}

TEST_CASE("elastic fit: a volumetric test gives the bulk modulus") {
    const AnyLaw truth = NeoHookean{.mu = 2e6, .kappa = 90e6, .void_fraction = 0.02};
    const std::vector<Coupon> coupons{made(truth, CouponMode::UniaxialTension, 1.0, 1.5, 10),
                                      made(truth, CouponMode::Volumetric, 1.0, 0.985, 10)};
    const ElasticFit fit =
        fit_elastic({"neo_hookean"}, coupons,
                    {.values = {{"void_fraction", 0.02}}, .fit_bulk_modulus = true}, {});
    const NeoHookean got = std::get<NeoHookean>(fit.law);
    CHECK(test::rel_err(got.mu, 2e6) < 1e-6);
    CHECK(test::rel_err(got.kappa, 90e6) < 1e-6);
}

// A planar test of a nearly incompressible solid tells one modulus: with two that act alike the fit
// names both (references D10: "PS Mooney split is not identifiable").
TEST_CASE("elastic fit: parameters that no test tells apart are named") {
    const AnyLaw truth = NeoHookean{.mu = 1e6, .kappa = 1e8, .void_fraction = 0.0};
    std::vector<Coupon> coupons{made(truth, CouponMode::SimpleShear, 0.0, 0.5, 12)};
    // The bulk modulus does not enter simple shear at all.
    const ElasticFit fit =
        fit_elastic({"neo_hookean"}, coupons,
                    {.values = {{"void_fraction", 0.0}}, .fit_bulk_modulus = true}, {});
    REQUIRE(fit.undetermined.size() == 1);
    CHECK(fit.undetermined[0].find("bulk_modulus_MPa") != std::string::npos);
    CHECK_FALSE(fit.values[1].determined);
    CHECK(fit.values[0].determined);
    CHECK(test::rel_err(fit.values[0].value, 1e6) < 1e-6);
}
