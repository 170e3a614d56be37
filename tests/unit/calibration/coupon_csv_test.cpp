// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/coupon_csv.hpp"

#include "materials/calibration/coupon_cleaning.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

Coupon read(const std::string& text,
            CouponMode mode = CouponMode::UniaxialTension,
            StressMeasure measure = StressMeasure::Unsaid) {
    Coupon c = parse_coupon_csv(text, "c.csv", {.mode = mode, .measure = measure});
    clean_coupon(c, ToeRule::Remove);
    return c;
}

std::string complaint(const std::string& text, CouponMode mode = CouponMode::UniaxialTension) {
    try {
        (void)read(text, mode);
    } catch (const Error& e) {
        return e.what();
    }
    return "no complaint";
}

bool told(const std::vector<std::string>& notes, const char* words) {
    for (const std::string& note : notes)
        if (note.find(words) != std::string::npos)
            return true;
    return false;
}

/// A straight line of modulus 3 MPa to strain 0.5.
std::string line(const std::string& header, double strain_unit, double stress_unit) {
    std::string text = header + "\n";
    for (int i = 0; i <= 10; ++i)
        text += fmt::format("{},{}\n", 0.05 * i / strain_unit, 0.15e6 * i / stress_unit);
    return text;
}

} // namespace

TEST_CASE("coupon file: names and units of columns give the same curve") {
    for (const Coupon& c : {read(line("nominal_strain,nominal_stress_MPa", 1.0, 1e6)),
                            read(line("nominal_strain_percent,nominal_stress_kPa", 0.01, 1e3)),
                            read(line("nominal_strain,engineering_stress_Pa", 1.0, 1.0)),
                            read(line("strain,stress_MPa", 1.0, 1e6), CouponMode::UniaxialTension,
                                 StressMeasure::Nominal),
                            read(line("nominal_strain,nominal_stress\n-,MPa", 1.0, 1e6))}) {
        REQUIRE(c.stretch.size() == 10); // without the row at rest
        CHECK(test::rel_err(c.stretch.back(), 1.5) < 1e-12);
        CHECK(test::rel_err(c.stress_Pa.back(), 1.5e6) < 1e-12);
    }
}

// Exact      l = exp(true strain), P = true stress / l at constant volume.
TEST_CASE("coupon file: true measures become nominal ones, compression either sign") {
    const double e = 0.4;
    std::string text = "true_strain,true_stress_MPa\n";
    for (int i = 0; i <= 4; ++i)
        text += fmt::format("{},{}\n", 0.25 * e * i, 0.5 * i);
    const Coupon pull = read(text);
    CHECK(test::rel_err(pull.stretch.back(), std::exp(e)) < 1e-12);
    CHECK(test::rel_err(pull.stress_Pa.back(), 2e6 / std::exp(e)) < 1e-12);
    CHECK(told(pull.notes, "constant volume"));
    const Coupon push = read(text, CouponMode::UniaxialCompression);
    CHECK(test::rel_err(push.stretch.back(), std::exp(-e)) < 1e-12);
    CHECK(test::rel_err(push.stress_Pa.back(), -2e6 / std::exp(-e)) < 1e-12);
    CHECK(told(push.notes, "sign turned"));
}

TEST_CASE("coupon file: times or a rate become times since rest") {
    Coupon c = parse_coupon_csv("time_s,nominal_strain,nominal_stress_MPa\n"
                                "3,0.1,0.3\n4,0.2,0.6\n5,0.3,0.9\n",
                                "c.csv", {.mode = CouponMode::UniaxialTension});
    clean_coupon(c, ToeRule::Keep);
    CHECK(test::rel_err(c.time_s.back(), 3.0) < 1e-12);
    CHECK(test::rel_err(*c.rate_per_s, 0.1) < 1e-12);
}

TEST_CASE("coupon cleaning: unloading, steps back and equal strains are told") {
    const Coupon c = read("nominal_strain,nominal_stress_MPa\n0,0\n0.1,0.3\n0.1,0.5\n0.09,0.4\n"
                          "0.2,0.8\n0.3,1.2\n0.1,0.2\n");
    CHECK(c.stretch.size() == 3);
    CHECK(test::rel_err(c.stress_Pa.front(), 0.4e6) < 1e-12);
    CHECK(told(c.notes, "1 rows after the largest strain left out: unloading"));
    CHECK(told(c.notes, "1 rows in which the strain steps back left out"));
    CHECK(told(c.notes, "1 rows of equal strain averaged"));
}

// Problem    a straight line of 100 MPa that begins at strain 0.004 behind a slack foot
// Exact      the line through rest
TEST_CASE("coupon cleaning: a toe is removed, and kept when asked") {
    std::string text = "nominal_strain,nominal_stress_MPa\n";
    for (int i = 0; i <= 50; ++i) {
        const double e = 1e-3 * i;
        text += fmt::format("{},{}\n", e, e < 0.008 ? 6250.0 * e * e : 100.0 * (e - 0.004));
    }
    const Coupon c = read(text);
    CHECK(told(c.notes, "toe"));
    CHECK(test::rel_err(c.stress_Pa.back() / (c.stretch.back() - 1.0), 100e6) < 1e-9);
    Coupon kept = parse_coupon_csv(text, "c.csv", {.mode = CouponMode::UniaxialTension});
    clean_coupon(kept, ToeRule::Keep);
    CHECK(kept.stretch.size() == 50);
}

TEST_CASE("coupon cleaning: many rows become means of steps") {
    std::string text = "nominal_strain,nominal_stress_MPa\n";
    for (int i = 0; i <= 20000; ++i)
        text += fmt::format("{},{}\n", 2.5e-5 * i, 7.5e-5 * i);
    const Coupon c = read(text);
    CHECK(c.stretch.size() <= 151);
    CHECK(told(c.notes, "averaged into"));
    CHECK(test::rel_err(c.stress_Pa[40] / (c.stretch[40] - 1.0), 3e6) < 1e-9);
}

TEST_CASE("coupon file: wrong input ends in one line that says what would be right") {
    const std::string header = "nominal_strain,nominal_stress_MPa\n";
    const auto says = [](const std::string& line, const char* words) {
        INFO(line);
        CHECK(line.find(words) != std::string::npos);
        CHECK(line.find("c.csv") != std::string::npos);
        CHECK(line.find('\n') == std::string::npos);
    };
    says(complaint(""), "is empty");
    says(complaint("0,0\n0.1,1\n0.2,2\n"), "no header row");
    says(complaint("nominal_strain,force_N\n0,0\n0.1,1\n"), "no column of stress");
    says(complaint("nominal_strain,nominal_stress\n0,0\n0.1,1\n"), "names no unit");
    says(complaint("nominal_strain,nominal_stress_bar\n0,0\n0.1,1\n"), "unknown unit 'bar'");
    says(complaint("strain,stress_MPa\n0,0\n0.1,1\n"), "nominal or true");
    says(complaint(header + "0,0\n0.1,nan\n0.2,1\n"), "c.csv:3");
    says(complaint(header + "0,0\n0.1,1\n"), "at least three");
    says(complaint(header + "0.3,3\n0.2,2\n0.1,1\n0,0\n"), "falls from its first row");
    says(complaint(line("nominal_strain,nominal_stress_MPa", 1.0, 1.0)),
         "Pa or kPa under a header");
    says(complaint(line("nominal_strain,nominal_stress_Pa", 1.0, 1e6)), "MPa under a header of Pa");
    says(complaint(line("nominal_strain,nominal_stress_MPa", 0.01, 1e6)), "per cent");
    says(complaint(line("stretch,nominal_stress_MPa", 1.0, 1e6)), "below 1");
    says(complaint("nominal_stress_MPa,nominal_strain\n0,0\n0.4,20\n0.5,40\n"), "swapped");
    says(complaint(header + "0,0\n-0.1,-1\n-0.2,-2\n-0.3,-3\n"), "uniaxial_compression");
    says(complaint(header + "0,0\n0.1,1\n0.2\n0.3,3\n"), "c.csv:4");
}

TEST_CASE("relaxation file: curves by set, temperature in the mean, times sorted") {
    const auto curves = parse_time_curves_csv("time_s,relaxation_modulus_MPa,temperature_C,set\n"
                                              "10,7,20.1,0\n1,8,19.9,0\n0.1,9,20,0\n0,10,20,0\n"
                                              "1,6,30,1\n10,5,30,1\n100,4,30,1\n",
                                              "r.csv", {.kind = TimeCurve::Kind::Relaxation});
    REQUIRE(curves.size() == 2);
    CHECK(curves[0].time_s == std::vector<double>{0.1, 1.0, 10.0});
    CHECK(curves[0].modulus_Pa.front() == 9e6);
    CHECK(test::rel_err(*curves[0].temperature_C, 20.0) < 1e-12);
    CHECK(told(curves[0].notes, "before time 0"));
    CHECK(test::rel_err(*curves[1].temperature_C, 30.0) < 1e-12);
}
