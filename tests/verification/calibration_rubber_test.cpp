// SPDX-License-Identifier: Apache-2.0
// Rubber data of 1944 in three modes (Treloar, Trans. Faraday Soc. 40:59), the digitised copy of
// the data folder, against published fits: references D5 and D10.
#include "materials/calibration/calibration.hpp"
#include "materials/calibration/coupon_cleaning.hpp"
#include "materials/calibration/coupon_csv.hpp"
#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/elastic_fit.hpp"
#include "solver/core/keyed_file.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/open_data.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace cellgrade;
using test::no_data;

namespace {

Coupon rubber(const std::string& test, CouponMode mode) {
    const auto path = *test::data_folder() / "rubber-multiaxial" /
                      ("treloar1944_natural_rubber_" + test + ".csv");
    Coupon c = parse_coupon_csv(read_text_file(path), test, {.mode = mode});
    clean_coupon(c, ToeRule::Keep);
    return c;
}

/// The published fits are of incompressible laws.
const FixedValues incompressible{.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.49999};

/// Least squares of P = c f(l), by hand.
double closed_form(const Coupon& c, double (*f)(double)) {
    double fP = 0.0, ff = 0.0;
    for (std::size_t i = 0; i < c.stretch.size(); ++i) {
        fP += f(c.stretch[i]) * c.stress_Pa[i];
        ff += f(c.stretch[i]) * f(c.stretch[i]);
    }
    return fP / ff;
}

/// A kind that is not in the registry yet says so and is skipped.
bool no_law(const char* kind) {
    if (blank_law(kind))
        return false;
    MESSAGE("skipped: no law " << kind);
    return true;
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Problem    neo-Hookean solid fitted to each test on its own, every row alike
// Exact      shear modulus .5673 (uniaxial), .3360 MPa (pure shear)
// Source     Steinmann, Hossain and Possart (2012), Arch. Appl. Mech. 82:1183; references D10
// Tolerance  5 %, what digitised copies of the data differ by (references D9, D10)
//
// The published equibiaxial .4104 is not asked for: least squares of both digitised copies (data
// folder, references D8) is .473 and .471 MPa in closed form, 15 % away, while the published Mooney
// fit to the same test is met (below). The fit is held against the closed form instead.
TEST_CASE("rubber of 1944: neo-Hookean fits to single tests are the published ones") {
    if (no_data())
        return;
    const auto modulus = [](const Coupon& c) {
        return fit_elastic({"neo_hookean"}, std::vector<Coupon>{c}, incompressible, {})
            .values[0]
            .value;
    };
    const Coupon pull = rubber("uniaxial", CouponMode::UniaxialTension);
    const Coupon shear = rubber("pure_shear", CouponMode::Planar);
    const Coupon sheet = rubber("equibiaxial", CouponMode::Equibiaxial);
    CHECK(test::rel_err(modulus(pull), .5673e6) < 0.05);
    CHECK(test::rel_err(modulus(shear), .3360e6) < 0.05);
    // nu = 0.49999 leaves 1/kappa ~ 2e-5 times the stress over the modulus, 6.
    CHECK(test::rel_err(modulus(sheet),
                        closed_form(sheet, [](double l) { return l - std::pow(l, -5); })) < 3e-4);
    CHECK(test::rel_err(modulus(pull),
                        closed_form(pull, [](double l) { return l - std::pow(l, -2); })) < 3e-4);
}

// Problem    Mooney-Rivlin solid fitted to the equibiaxial test, every row alike
// Exact      C10 = .1713, C01 = .0047 MPa; source and tolerance as above. The pure-shear split is
// not
//            identifiable (references D10): 2 (C10 + C01) is compared, .3396 MPa.
//            The published uniaxial pair (.2588, -.0449) is not the least-squares one of either
//            copy
//            (.409, -.751 by hand from two normal equations) and is not asked for.
TEST_CASE("rubber of 1944: Mooney-Rivlin fits to single tests are the published ones") {
    if (no_data() || no_law("mooney_rivlin"))
        return;
    const std::vector<Coupon> sheet{rubber("equibiaxial", CouponMode::Equibiaxial)};
    const ElasticFit fit = fit_elastic({"mooney_rivlin"}, sheet, incompressible, {});
    CHECK(test::rel_err(fit.values[0].value, .1713e6) < 0.05);
    CHECK(test::rel_err(fit.values[1].value, .0047e6) < 0.05);
    const std::vector<Coupon> shear{rubber("pure_shear", CouponMode::Planar)};
    const ElasticFit sum = fit_elastic({"mooney_rivlin"}, shear, incompressible, {});
    CHECK(test::rel_err(2.0 * (sum.values[0].value + sum.values[1].value), .3396e6) < 0.05);
    CHECK(sum.undetermined.size() == 1);
}

// Problem    Ogden solid of three terms fitted to the three tests together
// Exact      mu0 = .4225 MPa, and the stresses of the published parameters (6.3, .012, -.1 kgf/cm2;
//            1.3, 5, -2): Ogden (1972), Proc. R. Soc. A 326:565, references D5
// Tolerance  a fit to the data must lie no further from them than the published one does;
// parameters
//            of three terms are not unique, so curves are compared and not exponents. Five per cent
//            for the modulus as above is not asked: it is the slope at rest, where data are few.
TEST_CASE("rubber of 1944: three Ogden terms follow three tests as well as the published ones") {
    if (no_data() || no_law("ogden"))
        return;
    const std::vector<Coupon> coupons{rubber("uniaxial", CouponMode::UniaxialTension),
                                      rubber("equibiaxial", CouponMode::Equibiaxial),
                                      rubber("pure_shear", CouponMode::Planar)};
    const ElasticFit fit = fit_elastic({"ogden", 3}, coupons, incompressible, {.starts = 16});
    const double mu[] = {.63e6, .0012e6, -.01e6}, a[] = {1.3, 5.0, -2.0};
    double published = 0.0, fitted = 0.0;
    for (std::size_t c = 0; c < 3; ++c) {
        const double exponent[] = {-0.5, -2.0, -1.0}; // of the free axis, by mode
        double squares = 0.0, tallest = 0.0;
        for (std::size_t i = 0; i < coupons[c].stretch.size(); ++i) {
            double P = 0.0;
            for (int p = 0; p < 3; ++p)
                P += mu[p] * (std::pow(coupons[c].stretch[i], a[p] - 1.0) -
                              std::pow(coupons[c].stretch[i], exponent[c] * a[p] - 1.0));
            squares += std::pow(P - coupons[c].stress_Pa[i], 2);
            tallest = std::max(tallest, coupons[c].stress_Pa[i]);
        }
        published += squares / static_cast<double>(coupons[c].stretch.size()) / tallest / tallest;
        fitted += std::pow(fit.curves[c].rms_share, 2);
        CHECK(fit.curves[c].r_squared > 0.98);
    }
    INFO("sum of mean squares: published ", published, ", fitted ", fitted);
    CHECK(fitted <= published);
}

// Problem    laws fitted to the uniaxial test alone
// Exact      the program says that the biaxial prediction is not to be trusted; the equibiaxial
// test
//            shows that it is right to: its prediction is further off than the uniaxial data
//            scatter (5 %, references D9)
TEST_CASE("rubber of 1944: a fit to tension alone warns of its biaxial prediction") {
    if (no_data())
        return;
    CalibrationStudy study{.name = "rubber", .source = "data folder", .density_kg_per_m3 = 930.0};
    study.fixed = incompressible;
    for (const char* key : {"density_kg_per_m3", "void_fraction", "poissons_ratio"})
        study.sources[key] = "of the test";
    study.candidates = all_candidates();
    study.starts = 4;
    const std::vector<Coupon> pull{rubber("uniaxial", CouponMode::UniaxialTension)};
    const Calibration c = calibrate_curves(study, pull, {});
    const auto warning = std::find_if(c.findings.begin(), c.findings.end(), [](const auto& f) {
        return f.find("the biaxial prediction is not to be trusted") != std::string::npos;
    });
    REQUIRE(warning != c.findings.end());
    const std::vector<Coupon> sheet{rubber("equibiaxial", CouponMode::Equibiaxial)};
    const AnyLaw& chosen = c.fits.front().fit.law;
    const double off = compare_curves(chosen, {}, sheet).front().rms_share;
    INFO(*warning, "; ", c.fits.front().fit.candidate.name(), " is off by ", off);
    CHECK(off > 0.05);
}

// Problem    silicone fitted in tension, pure shear predicted
// Exact      the pure-shear test: Meunier et al. (2008), Polymer Testing 27:765, data folder
// Tolerance  15 % of the largest stress, as the task asks
TEST_CASE("silicone of 2008: tension predicts pure shear") {
    if (no_data())
        return;
    const auto read = [](const char* test, CouponMode mode) {
        const auto path = *test::data_folder() / "rubber-multiaxial" /
                          ("meunier2008_silicone_" + std::string(test) + ".csv");
        Coupon c = parse_coupon_csv(read_text_file(path), test, {.mode = mode});
        clean_coupon(c, ToeRule::Keep);
        return c;
    };
    const std::vector<Coupon> pull{read("uniaxial_tension", CouponMode::UniaxialTension)};
    const std::vector<Coupon> shear{read("pure_shear", CouponMode::Planar)};
    const ElasticFit fit = fit_elastic({"yeoh"}, pull, incompressible, {});
    const CurveFit predicted = compare_curves(fit.law, {}, shear).front();
    double worst = 0.0, tallest = 0.0;
    for (std::size_t i = 0; i < predicted.stress_Pa.size(); ++i) {
        worst = std::max(worst, std::abs(predicted.stress_Pa[i] - shear[0].stress_Pa[i]));
        tallest = std::max(tallest, shear[0].stress_Pa[i]);
    }
    INFO("worst ", worst / tallest, ", tension R2 ", fit.curves[0].r_squared);
    CHECK(worst < 0.15 * tallest);
}
