// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/reading_statistics.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/noise.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <limits>
#include <vector>

using namespace cellgrade;

// Problem    the worked example of the interval of a mean: 195 heat flow readings of mean 9.261460
//            and standard deviation 0.022789 have the 95 % interval 9.258242 to 9.264679
// Source     NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.2 (from memory)
// How        97 readings one standard deviation above, 97 below and one at the mean have just that
//            mean and standard deviation: 194 s^2 / (195 - 1) = s^2
// Tolerance  the six decimals that are printed, of inputs printed with six
TEST_CASE("reading_statistics: the interval of the handbook's example") {
    const double mean = 9.261460, sd = 0.022789;
    std::vector<double> x{mean};
    for (int i = 0; i < 97; ++i) {
        x.push_back(mean + sd);
        x.push_back(mean - sd);
    }
    const ReadingStatistics s = reading_statistics(x);
    CHECK(s.n == 195);
    CHECK(test::rel_err(s.mean, mean) < 1e-14);
    CHECK(test::rel_err(s.sd, sd) < 1e-12);
    CHECK(std::abs(s.low - 9.258242) < 1e-6);
    CHECK(std::abs(s.high - 9.264679) < 1e-6);
}

// Exact      1, 2, 4: mean 7/3, variance (16 + 1 + 25)/9/2 = 7/3
TEST_CASE("reading_statistics: the standard deviation is the sample's; one reading is refused") {
    const ReadingStatistics s = reading_statistics(std::array{1.0, 2.0, 4.0});
    CHECK(test::rel_err(s.mean, 7.0 / 3.0) < 1e-15);
    CHECK(test::rel_err(s.sd, std::sqrt(7.0 / 3.0)) < 1e-14);
    CHECK(test::message_of([] { (void)reading_statistics(std::array{1.0}); }).find("two") !=
          std::string::npos);
}

// Problem    strength of fabric from four looms drawn at random, four readings each
// Source     Montgomery, Design and Analysis of Experiments, random effects model, loom example: MS
//            29.73 between, 1.90 within, variance components 6.96 and 1.90 (from memory)
// Tolerance  the two decimals that are printed
TEST_CASE("group_statistics: the variance components of the handbook's looms") {
    const std::vector<std::vector<double>> looms{
        {98, 97, 99, 96}, {91, 90, 93, 92}, {96, 95, 97, 95}, {95, 96, 99, 98}};
    const GroupStatistics s = group_statistics(looms);
    CHECK(std::abs(s.sd_within * s.sd_within - 1.90) < 0.005);
    CHECK(std::abs(s.groups.sd * s.groups.sd - 6.96) < 0.005);
    CHECK(s.groups.n == 4);
    CHECK(test::rel_err(s.groups.mean, 95.4375) < 1e-14);
    // The interval is that of four means: their variance is MSB / 4.
    const double reach = 3.182446 * std::sqrt(29.729167 / 4.0 / 4.0); // t of 3, printed tables
    CHECK(std::abs(s.groups.high - s.groups.mean - reach) < 1e-5);
    // Groups that differ no more than their readings do have no scatter of their own.
    const std::vector<std::vector<double>> alike{{1, 2, 3}, {3, 2, 1}, {2, 2, 2}};
    CHECK(group_statistics(alike).groups.sd == 0.0);
    CHECK(test::message_of([] {
              (void)group_statistics(std::vector<std::vector<double>>{{1.0}, {2.0}});
          }).find("repeated") != std::string::npos);
}

// Source     NIST/SEMATECH e-Handbook 1.3.5.17.1: eight mass spectrometer readings, G = 2.4687,
//            one-sided limit at 5 % 2.032; ASTM E178: ten breaking strengths, T = (596 -
//            575.2)/8.70, table 2.176 at 5 % and 2.290 at 2.5 % (both from memory)
TEST_CASE("outlier: the worked examples of two handbooks") {
    CHECK(std::abs(grubbs_limit(8, 0.05) - 2.032) < 5e-4);
    CHECK(std::abs(grubbs_limit(10, 0.05) - 2.176) < 5e-4);
    CHECK(std::abs(grubbs_limit(10, 0.025) - 2.290) < 5e-4);
    const std::array spectrometer{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57};
    const ReadingStatistics s = reading_statistics(spectrometer);
    CHECK(std::abs((245.57 - s.mean) / s.sd - 2.4687) < 1e-4); // printed cut off, not rounded
    CHECK(outlier(spectrometer) == 7);
    const std::array wire{568.0, 570.0, 570.0, 570.0, 572.0, 572.0, 572.0, 578.0, 584.0, 596.0};
    const ReadingStatistics w = reading_statistics(wire);
    CHECK(std::abs(w.mean - 575.2) < 1e-9);
    CHECK(std::abs(w.sd - 8.70) < 5e-3);
    CHECK(outlier(wire) == 9);
    // Six readings are too few for the test.
    CHECK_FALSE(outlier(std::span(spectrometer).last(6)).has_value());
}

// Exact      5 % of samples without an outlier are said to have one
// Tolerance  four standard deviations of a count of 4000, sqrt(4000 x 0.05 x 0.95) = 13.8
TEST_CASE("outlier: says so of one clean sample in twenty") {
    test::Noise noise(11);
    int found = 0;
    for (int k = 0; k < 4000; ++k) {
        std::vector<double> x(12);
        for (double& v : x)
            v = noise();
        found += outlier(x).has_value() ? 1 : 0;
    }
    CHECK(std::abs(found - 200) < 55);
}

// Exact      (1,1) (2,3) (3,2) (4,5) (5,4): Sxx 10, Sxy 8, slope 0.8, residuals -0.4 0.8 -1 1.2
//            -0.6 with sum of squares 3.6, s^2 = 1.2, standard error sqrt(0.12); t of 3 degrees of
//            freedom 3.182446 (printed tables, from memory)
TEST_CASE("slope_interval: the line by hand") {
    const std::array x{1.0, 2.0, 3.0, 4.0, 5.0}, y{1.0, 3.0, 2.0, 5.0, 4.0};
    const auto s = slope_interval(x, y);
    REQUIRE(s);
    CHECK(test::rel_err(s->slope, 0.8) < 1e-14);
    CHECK(std::abs(s->high - s->slope - 3.182446 * std::sqrt(0.12)) < 1e-6);
    CHECK(std::abs(s->slope - s->low - 3.182446 * std::sqrt(0.12)) < 1e-6);
    CHECK_FALSE(slope_interval(std::span(x).first(2), std::span(y).first(2)).has_value());
    CHECK_FALSE(slope_interval(std::array{0.8e-3, 0.8e-3, 0.8e-3}, std::array{1.0, 2.0, 3.0}));
}

// Exact      equal n and sd: degrees of freedom 2 (n - 1) and standard error s sqrt(2/n), the plain
//            two-sample test; t of 8 degrees of freedom 2.306004 (printed tables, from memory)
TEST_CASE("welch_ratio: is the two-sample test where both scatter alike") {
    const ReadingStatistics a{.n = 5, .mean = 10.0, .sd = 2.0}, b{.n = 5, .mean = 7.0, .sd = 2.0};
    CHECK(std::abs(welch_ratio(a, b) - 3.0 / (2.306004 * 2.0 * std::sqrt(0.4))) < 1e-6);
    CHECK(welch_ratio(b, a) == -welch_ratio(a, b));
    const ReadingStatistics c{.n = 3, .mean = 1.0}, d{.n = 3, .mean = 2.0};
    CHECK(welch_ratio(c, c) == 0.0);
    CHECK(welch_ratio(c, d) == -std::numeric_limits<double>::infinity());
}

// Exact      the true ratio lies in the interval 19 times in 20, and the standard deviation is that
//            of single ratios
// Tolerance  four standard deviations of the count, sqrt(4000 x 0.05 x 0.95) = 13.8 (and 1 % for
//            the first-order propagation at 5 % scatter, a second-order error of some 0.25 %)
TEST_CASE("ratio_statistics: the interval holds the truth, the scatter is that of the ratio") {
    test::Noise noise(5);
    int held = 0;
    std::vector<double> single;
    double sd = 0.0;
    for (int k = 0; k < 4000; ++k) {
        std::array<double, 6> along{};
        std::array<double, 4> across{};
        for (double& v : along)
            v = 8.0 * (1.0 + 0.05 * noise());
        for (double& v : across)
            v = 10.0 * (1.0 + 0.05 * noise());
        single.push_back(along[0] / across[0]);
        const RatioStatistics r =
            ratio_statistics(reading_statistics(along), reading_statistics(across));
        held += r.low < 0.8 && r.high > 0.8 ? 1 : 0;
        sd += r.sd * r.sd / 4000.0;
    }
    CHECK(std::abs(held - 3800) < 55);
    // A variance of 4000 ratios is known to sqrt(2/4000) = 2.2 %, its root to 1.1 %: four of them.
    CHECK(test::rel_err(std::sqrt(sd), reading_statistics(single).sd) < 0.05);
}
