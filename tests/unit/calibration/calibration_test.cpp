// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/calibration.hpp"

#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/findings.hpp"
#include "materials/cards/card_doubt.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <fstream>

using namespace cellgrade;

namespace {

CalibrationStudy small_study() {
    CalibrationStudy s{.name = "sample", .source = "invented", .density_kg_per_m3 = 1100.0};
    s.fixed = {.values = {{"void_fraction", 0.0}}, .poissons_ratio = 0.49};
    s.sources = {{"density_kg_per_m3", "invented"},
                 {"void_fraction", "invented"},
                 {"poissons_ratio", "invented"}};
    s.candidates = {{"neo_hookean"}, {"yeoh"}};
    return s;
}

bool told(const std::vector<std::string>& findings, const char* words) {
    for (const std::string& f : findings)
        if (f.find(words) != std::string::npos)
            return true;
    return false;
}

AnyLaw truth() {
    const double mu = 2e6;
    return NeoHookean{.mu = mu, .kappa = mu * 2.98 / 0.06, .void_fraction = 0.0};
}

constexpr std::array<PronyTerm, 2> relaxing{{{0.3, 0.05}, {0.2, 2.0}}};

/// A slow test of the relaxing solid.
Coupon slow_pull(std::optional<double> rate) {
    Coupon c{.name = "pull", .mode = CouponMode::UniaxialTension, .rate_per_s = rate};
    std::vector<double> time;
    for (int i = 1; i <= 30; ++i) {
        c.stretch.push_back(1.0 + 0.02 * i);
        time.push_back(2.0 * i);
    }
    c.stress_Pa = coupon_stresses(truth(), relaxing, c.mode, c.stretch, time);
    if (rate)
        c.time_s = time;
    return c;
}

TimeCurve relaxation_test() {
    TimeCurve c{.name = "hold", .temperature_C = 23.0};
    for (int i = 0; i <= 40; ++i) {
        c.time_s.push_back(1e-3 * std::pow(10.0, 0.125 * i));
        c.modulus_Pa.push_back(6e6 * relaxation(relaxing, c.time_s.back()));
    }
    return c;
}

} // namespace

// Problem    a pull at 0.01 1/s of a solid that loses 30 % at 0.05 s and 20 % at 2 s
// Exact      the instantaneous law that made the data: 2 MPa, where the pull alone shows about half
TEST_CASE("calibration: a slow test and a relaxation test give the instantaneous modulus") {
    const Calibration c = calibrate_curves(small_study(), {slow_pull(0.01)}, {relaxation_test()});
    CHECK(test::rel_err(initial_moduli(c.card.law).mu0, 2e6) < 1e-3);
    REQUIRE(c.card.prony.size() == 2);
    CHECK(test::rel_err(c.card.prony[1].share, 0.2) < 1e-3);
    const Calibration slow = calibrate_curves(small_study(), {slow_pull(0.01)}, {});
    CHECK(initial_moduli(slow.card.law).mu0 < 1.4e6);
    CHECK(told(slow.findings, "no rate dependence"));
    CHECK_FALSE(told(c.findings, "no rate dependence"));
}

TEST_CASE("calibration: with a relaxation test a coupon needs its rate") {
    CHECK_THROWS_WITH_AS(
        (void)calibrate_curves(small_study(), {slow_pull(std::nullopt)}, {relaxation_test()}),
        doctest::Contains("rate_per_s"), Error);
}

TEST_CASE("calibration: tension alone says what it cannot tell") {
    const Calibration c = calibrate_curves(small_study(), {slow_pull(0.01)}, {});
    CHECK(told(c.findings, "biaxial prediction is not to be trusted"));
    CHECK(told(c.findings, "compression is extrapolated"));
    CHECK(told(c.findings, "no planar and no shear test"));
    CHECK(told(c.findings, "bulk modulus is given"));
    CHECK(told(c.findings, "no temperature is given"));
    CHECK(*c.card.valid.stretch_min == 0.99);
    CHECK(test::rel_err(*c.card.valid.stretch_max, 1.6) < 1e-9);
}

TEST_CASE("calibration: tests at two rates and no relaxation say that rate is taken as scatter") {
    Coupon fast = slow_pull(0.01);
    fast.rate_per_s = 0.1;
    for (double& t : fast.time_s)
        t *= 0.1;
    const Calibration c = calibrate_curves(small_study(), {slow_pull(0.01), fast}, {});
    CHECK(told(c.findings, "taken as scatter"));
}

TEST_CASE("calibration: the simpler law wins where it made the data, and the card reads back") {
    std::vector<Coupon> coupons{slow_pull(0.01)};
    for (std::size_t i = 0; i < coupons[0].stress_Pa.size(); ++i) // scatter, the same every time
        coupons[0].stress_Pa[i] = coupon_stress(truth(), coupons[0].mode, coupons[0].stretch[i]) *
                                  (1.0 + 0.004 * std::sin(12.9898 * static_cast<double>(i * i)));
    const Calibration c = calibrate_curves(small_study(), coupons, {});
    CHECK(c.fits.front().fit.candidate.kind == "neo_hookean");
    const PolymerCard back = parse_card(card_text(c.card), "card");
    CHECK(test::rel_err(initial_moduli(back.law).mu0, initial_moduli(c.card.law).mu0) < 1e-15);
    CHECK(back.sources == c.card.sources);
    CHECK(back.sources.find("instantaneous_shear_modulus_MPa")->second.find("95 % interval") !=
          std::string::npos);
    // and tells its own doubt, to the four digits that an interval is written with
    const FittedValue& mu = c.fits.front().fit.values.front();
    const CardDoubts doubts = card_doubts(back);
    REQUIRE(doubts.values.size() == 1);
    CHECK(doubts.values.front().key == mu.key);
    CHECK(std::abs(doubts.values.front().by - (mu.high - mu.low) / mu.to_SI / (2.0 * 1.959964)) <
          5e-4 * mu.high / mu.to_SI / 1.959964);
}

// Exact      E = 2.4558 MPa at Shore A 50 (hardness_test.cpp); E = 2 mu (1 + nu)
TEST_CASE("calibration: hardness alone is a guess that says so") {
    CalibrationStudy s = small_study();
    s.shore_A = 50.0;
    s.sources["shore_A"] = "invented";
    const Calibration c = calibrate_curves(s, {}, {});
    CHECK(test::rel_err(initial_moduli(c.card.law).mu0, 2.4558e6 / 2.98) < 1e-4);
    CHECK(told(c.findings, "guess from Shore A"));
    CHECK(c.card.sources.find("instantaneous_shear_modulus_MPa")->second.starts_with("guess"));
}

TEST_CASE("calibration study: wrong keys end in one line with file, line and key") {
    const test::ScratchFolder scratch;
    const auto complaint = [&](const std::string& text) -> std::string {
        const auto path = scratch.path() / "study.toml";
        std::ofstream(path) << text;
        try {
            (void)read_calibration_study(path);
        } catch (const Error& e) {
            return e.what();
        }
        return "no complaint";
    };
    const std::string head = "schema = 1\nname = \"n\"\nsource = \"s\"\ndensity_kg_per_m3 = 1100\n";
    const auto says = [](const std::string& line, const char* words) {
        INFO(line);
        CHECK(line.find(words) != std::string::npos);
    };
    says(complaint(head), "no coupon test");
    says(complaint(head + "[fixed]\nvoid_fracton = 0.1\n"), "did you mean void_fraction");
    says(complaint(head + "[fixed]\npoissons_ratio = 0.5\n"), "between 0 and 0.5");
    says(complaint(head + "[fit]\nlaws = [\"yoeh\"]\n"), "did you mean yeoh");
    says(complaint(head + "[[test]]\nfile = \"a.csv\"\nmode = \"tension\"\n"), "uniaxial_tension");
    says(complaint(head + "[[test]]\nfile = \"a.csv\"\nmode = \"planar\"\nrate = 1\n"),
         "rate_per_s");
    says(complaint(head + "[[test]]\nfile = \"a.csv\"\nmode = \"planar\"\n[sources]\n"),
         "no source for density_kg_per_m3");
}
