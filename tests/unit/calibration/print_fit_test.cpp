// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/print_fit.hpp"

#include "solver/core/units.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/noise.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;

namespace {

bool contains(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

bool told(const std::vector<std::string>& lines, std::string_view part) {
    for (const std::string& line : lines)
        if (contains(line, part))
            return true;
    return false;
}

/// Calliper readings of three sizes with an error of `constant` + `share` of the size and scatter.
PrintReadings sized(double constant, double share, double scatter, unsigned seed = 3) {
    test::Noise noise(seed);
    PrintReadings r{.calliper_name = "calliper.csv"};
    for (int i = 0; i < 24; ++i) {
        const double drawn = (0.6 + 0.4 * (i % 3)) * units::mm;
        r.calliper.push_back({.drawn = drawn,
                              .measured = drawn * (1.0 + share) + constant + scatter * noise(),
                              .part = fmt::format("{}", i % 4),
                              .line = i + 2});
    }
    return r;
}

} // namespace

TEST_CASE("calliper readings: units, direction and a header row of units are understood") {
    const auto r = parse_calliper_csv("drawn_mm;measured_um;direction\n0,8;862;along\n"
                                      "1,2;1251;across\n",
                                      "c.csv");
    REQUIRE(r.size() == 2);
    CHECK(test::rel_err(r[0].drawn, 0.8e-3) < 1e-15);
    CHECK(test::rel_err(r[1].measured, 1.251e-3) < 1e-15);
    CHECK(r[0].direction == PrintDirection::Along);
    CHECK(r[1].direction == PrintDirection::Across);
    CHECK(r[1].line == 3);
    CHECK(parse_calliper_csv("drawn,measured\nmm,mm\n0.8,0.86\n0.8,0.85\n", "c").size() == 2);
}

TEST_CASE("calliper readings: hostile files end in one line with their place") {
    struct Case {
        const char *text, *place, *what;
    };
    const std::string many = [] { // ten measured sizes at two drawn ones, columns swapped
        std::string text = "drawn_mm,measured_mm\n";
        for (int i = 0; i < 10; ++i)
            text += fmt::format("{},{}\n", 0.83 + 0.011 * i, i % 2 == 0 ? 0.8 : 0.9);
        return text;
    }();
    const Case cases[] = {
        {"", "c.csv", "is empty"},
        {"0.8,0.86\n0.8,0.85\n", "c.csv:1", "no header row"},
        {"drawn_mm,measured_mm\n0.8,0.86\n", "c.csv:2", "one reading alone"},
        {"drawn_mm,measured_mm\n0.8,0.86\n0.8,nan\n", "c.csv:3", "not a finite number"},
        {"drawn_mm,measured_mm\n0.8,0.86\n0.8,-0.86\n", "c.csv:3", "above 0"},
        {"drawn_mm,measured_mm\n0.8,0.86\n0.8,\n", "c.csv:3", "not a number"},
        {"drawn_mm,measured_mm\n0.8,0.0339\n0.8,0.0335\n", "c.csv:1", "inches"},
        {"drawn_in,measured_in\n0.031,0.033\n0.031,0.034\n", "c.csv:1", "unknown unit 'in'"},
        {"drawn_mm,measured_mm\n0.8,8.6\n0.8,8.5\n", "c.csv:1", "times the drawn ones"},
        {"drawn_mm,printed_mm\n0.8,0.86\n0.8,0.85\n", "c.csv:1", "no column measured"},
        {"drawn_mm,measured_mm,direction\n0.8,0.86,z\n0.8,0.85,x\n", "c.csv:2", "along or across"},
        {many.c_str(), "c.csv:1", "swapped"},
        {"drawn_mm,measured_mm,part\n0.8,0.86,a\n0.8,0.85,a\n", "c.csv:1", "on 1 prints"},
        {"drawn_mm,measured_mm,part\n0.8,0.86,a\n0.8,0.85,\n", "c.csv:3", "part: empty"},
    };
    for (const Case& c : cases) {
        const std::string message =
            test::message_of([&] { (void)parse_calliper_csv(c.text, "c.csv"); });
        INFO(message);
        CHECK(contains(message, c.place));
        CHECK(contains(message, c.what));
        CHECK_FALSE(contains(message, "\n"));
    }
}

// Exact      a block of 20 x 10 x 5 mm and 1.1 g has 1100 kg/m3; a cylinder of diameter 20 and
//            height 10 mm has pi 10^3 mm^3
TEST_CASE("weighed coupons: blocks, cylinders and volumes") {
    const auto block =
        parse_weighed_csv("mass_g,length_mm,width_mm,height_mm\n1.1,20,10,5\n1.1,20,10,5\n", "w");
    CHECK(test::rel_err(block[0].mass / block[0].volume, 1100.0) < 1e-14);
    const auto cylinder =
        parse_weighed_csv("mass_mg,diameter_mm,height_mm\n3400,20,10\n3400,20,10\n", "w");
    CHECK(test::rel_err(cylinder[0].volume, std::numbers::pi * 1e-6) < 1e-14);
    CHECK(test::rel_err(cylinder[0].mass, 3.4e-3) < 1e-14);
    CHECK(test::rel_err(parse_weighed_csv("mass_g,volume_ml\n1.1,1\n1.2,1\n", "w")[1].volume,
                        1e-6) < 1e-14);
}

TEST_CASE("weighed and directed coupons: hostile files end in one line with their place") {
    struct Case {
        const char *text, *what;
    };
    for (const Case& c : {Case{"mass_g,volume_mm3\n1.1,1000\n", "one coupon alone"},
                          Case{"mass_g,volume_mm3\n1000,1.1\n1000,1.1\n", "swapped"},
                          Case{"mass_g\n1.1\n1.1\n", "no outer volume"},
                          Case{"mass_g,volume_mm3\n1.1,1000\n0,1000\n", "above 0"},
                          Case{"mass_oz,volume_mm3\n1.1,1000\n1,1000\n", "unknown unit 'oz'"}}) {
        const std::string message = test::message_of([&] { (void)parse_weighed_csv(c.text, "w"); });
        INFO(message);
        CHECK(contains(message, "w:"));
        CHECK(contains(message, c.what));
        CHECK_FALSE(contains(message, "\n"));
    }
    for (const Case& c :
         {Case{"direction,modulus_MPa\nalong,8\nalong,8\nacross,9\n", "1 coupons across"},
          Case{"direction,modulus_MPa\nalong,8\nalong,8\n", "0 coupons across"},
          Case{"modulus_MPa\n8\n9\n", "no column direction"},
          Case{"direction,strain\nalong,8\nacross,8\n", "no column modulus"},
          Case{"direction,modulus_MPa\nup,8\nacross,8\n", "along or across"},
          Case{"direction,modulus_MPa\nalong,8e3\nalong,8e3\nacross,9\nacross,9\n", "unit"}}) {
        const std::string message =
            test::message_of([&] { (void)parse_direction_csv(c.text, "d"); });
        INFO(message);
        CHECK(contains(message, "d:"));
        CHECK(contains(message, c.what));
    }
}

// Problem    errors of 0.06 mm whatever the size, of 7 % of the size, and of one size alone
TEST_CASE("fit_print: tells a constant offset from one that grows with the size") {
    const PrintFit constant = fit_print(sized(0.06e-3, 0.0, 0.01e-3), 0.0);
    REQUIRE(constant.offset);
    CHECK(constant.offset->n == 4); // prints
    CHECK(constant.offset->low < 0.06e-3);
    CHECK(constant.offset->high > 0.06e-3);
    CHECK(test::rel_err(*constant.strut_sd, 0.01e-3) < 0.5);
    CHECK(constant.findings.empty());
    REQUIRE(constant.notes.size() == 1);
    CHECK(told(constant.notes, "diameter_scatter_share"));
    const PrintFit growing = fit_print(sized(0.0, 0.07, 0.01e-3), 0.0);
    CHECK(told(growing.findings, "no constant"));
    CHECK(told(growing.findings, "mm a mm of drawn size"));
    PrintReadings one = sized(0.06e-3, 0.0, 0.01e-3);
    for (CalliperReading& reading : one.calliper)
        reading.drawn = 1e-3;
    CHECK(told(fit_print(one, 0.0).findings, "whether the offset grows"));
}

// Exact      a constant offset is said to grow in one set of readings out of twenty
// Tolerance  four standard deviations of a count of 1000, sqrt(1000 x 0.05 x 0.95) = 6.9
TEST_CASE("fit_print: calls a constant offset a growing one as seldom as it says") {
    int wrong = 0;
    for (unsigned seed = 0; seed < 1000; ++seed)
        wrong += told(fit_print(sized(0.06e-3, 0.0, 0.02e-3, seed), 0.0).findings, "no constant");
    CHECK(std::abs(wrong - 50) < 28);
}

TEST_CASE("fit_print: names an outlier by its line and keeps it") {
    PrintReadings r = sized(0.06e-3, 0.0, 0.01e-3);
    r.calliper[4].measured += 0.2e-3;
    const PrintFit fit = fit_print(r, 0.0);
    CHECK(told(fit.notes, "calliper.csv:6: "));
    CHECK(fit.offset->mean > fit_print(sized(0.06e-3, 0.0, 0.01e-3), 0.0).offset->mean);
}

// Exact      four prints at 0.03, 0.05, 0.07 and 0.09 mm: variance of their offsets 0.02^2 5/3
// Tolerance  struts scatter by 0.001 mm: six of them move a mean by 0.0004 mm, 2 % of the 0.026 mm
TEST_CASE("fit_print: scatter between prints is told from that of struts, and without parts not") {
    PrintReadings r = sized(0.03e-3, 0.0, 0.001e-3);
    for (std::size_t i = 0; i < r.calliper.size(); ++i)
        r.calliper[i].measured += 0.02e-3 * static_cast<double>(i % 4);
    const PrintFit fit = fit_print(r, 0.0);
    CHECK(test::rel_err(fit.offset->sd, 0.02e-3 * std::sqrt(5.0 / 3.0)) < 0.04);
    CHECK(*fit.strut_sd < 0.002e-3);
    for (CalliperReading& one : r.calliper)
        one.part.clear();
    const PrintFit mixed = fit_print(r, 0.0);
    CHECK(mixed.offset->n == 24);
    CHECK_FALSE(mixed.strut_sd.has_value());
    CHECK(told(mixed.findings, "no column part"));
}

TEST_CASE("fit_print: an offset that differs along and across the build direction is told") {
    PrintReadings r = sized(0.06e-3, 0.0, 0.01e-3);
    for (std::size_t i = 0; i < r.calliper.size(); ++i)
        r.calliper[i].direction = i % 2 == 0 ? PrintDirection::Along : PrintDirection::Across;
    CHECK_FALSE(told(fit_print(r, 0.0).findings, "along the build direction"));
    for (std::size_t i = 0; i < r.calliper.size(); i += 2)
        r.calliper[i].measured += 0.03e-3;
    CHECK(told(fit_print(r, 0.0).findings, "along the build direction"));
}

// Exact      coupons of 1.11, 1.12 and 1.13 g/cm3 of a polymer of 1.15: porosity 1 - 1.12/1.15
TEST_CASE("fit_print: porosity and density of weighed coupons") {
    PrintReadings r{.weighed_name = "w.csv"};
    for (const double mass : {1.11e-3, 1.12e-3, 1.13e-3})
        r.weighed.push_back({mass, 1e-6, static_cast<int>(r.weighed.size()) + 2});
    const PrintFit fit = fit_print(r, 1150.0);
    CHECK(test::rel_err(fit.density->mean, 1120.0) < 1e-13);
    CHECK(test::rel_err(fit.density->sd, 10.0) < 1e-10);
    CHECK(test::rel_err(fit.porosity->mean, 30.0 / 1150.0) < 1e-12);
    CHECK(test::rel_err(fit.porosity->sd, 10.0 / 1150.0) < 1e-10);
    const auto refused = [&](double solid) {
        return test::message_of([&] { (void)fit_print(r, solid); });
    };
    CHECK(contains(refused(1100.0), "w.csv:4"));
    CHECK(contains(refused(1100.0), "below 0"));
    CHECK(contains(refused(1115.0), "mean porosity"));
    CHECK(contains(refused(1122.0), "cannot be told from 0"));
}

TEST_CASE("put_weighed: fills what the study leaves open; what it gives wins, with a note") {
    PrintReadings r{.weighed_name = "w.csv"};
    for (const double mass : {1.11e-3, 1.12e-3, 1.13e-3})
        r.weighed.push_back({mass, 1e-6, 2});
    CalibrationStudy study{.name = "n", .source = "invented"};
    study.print.solid_density_kg_per_m3 = 1150.0;
    study.sources["solid_density_kg_per_m3"] = "invented";
    CalibrationStudy giving = study;
    PrintFit fit = fit_print(r, 1150.0);
    put_weighed(study, fit, r);
    CHECK(study.fixed.values.at("void_fraction") == fit.porosity->mean);
    CHECK(study.density_kg_per_m3 == fit.density->mean);
    CHECK(contains(study.sources.at("void_fraction"), "3 weighed coupons of w.csv"));
    CHECK(fit.notes.empty());
    giving.density_kg_per_m3 = 1130.0;
    giving.fixed.values["void_fraction"] = 0.01;
    put_weighed(giving, fit, r);
    CHECK(giving.fixed.values.at("void_fraction") == 0.01);
    CHECK(giving.density_kg_per_m3 == 1130.0);
    CHECK(fit.notes.size() == 2);
    CHECK(told(fit.notes, "what the study gives wins"));
}

TEST_CASE("fit_print: a build-direction factor from coupons, and one that is no factor") {
    PrintReadings r{.direction_name = "d.csv"};
    for (const double e : {-0.1, 0.0, 0.1}) {
        r.direction.push_back({8e6 + e * 1e6, PrintDirection::Along, 2});
        r.direction.push_back({10e6 + e * 1e6, PrintDirection::Across, 3});
    }
    const PrintFit fit = fit_print(r, 0.0);
    CHECK(test::rel_err(fit.factor->ratio, 0.8) < 1e-13);
    // c = 0.0125 and 0.01: sd = 0.8 sqrt(c1^2 + c2^2)
    CHECK(test::rel_err(fit.factor->sd, 0.8 * std::hypot(0.0125, 0.01)) < 1e-10);
    CHECK(fit.factor_readings == 3);
    CHECK(fit.findings.empty());
    for (DirectionReading& one : r.direction)
        if (one.direction == PrintDirection::Along)
            one.value += 2e6;
    CHECK(told(fit_print(r, 0.0).findings, "cannot be told from 1"));
}
