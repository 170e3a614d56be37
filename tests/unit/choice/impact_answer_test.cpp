// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_answer.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/choice/choice_samples.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace cellgrade;
using test::linear_grade;
using test::message_of;
using test::rel_err;
using test::sample_curves;
using test::sample_density;
using test::SampleGrade;

namespace {

constexpr double settled = 3e-4; // as impact_run_test

const GradePad pad{.relative_density = sample_density,
                   .pad = {.thickness_m = 0.05, .area_m2 = 0.01}};

ImpactCase fall(double mass_kg, double speed) {
    return {.name = "fall", .mass_kg = mass_kg, .speed_m_per_s = speed, .striker = Striker::flat()};
}

bool says(const ImpactAnswer& answer, const std::string& words) {
    return std::any_of(answer.notes.begin(), answer.notes.end(), [&](const std::string& note) {
        return note.find(words) != std::string::npos;
    });
}

} // namespace

// Problem    linear spring with a doubt of 20 % about its stress.
// Exact      peak force v sqrt(k m): sqrt(0.8) and sqrt(1.2) of it; depth the inverse.
TEST_CASE("impact answer: the interval is that of the stress") {
    SampleGrade sample = linear_grade(1.25e6);
    sample.plateau_doubt_share = 0.2;
    ImpactCase impact = fall(5.0, 6.2);
    impact.limits.peak_acceleration_g = 150.0; // 141.4, at most 154.9
    impact.limits.peak_force_N = 7.0e3;        // 6.93 kN, at most 7.59
    impact.limits.hic15 = 5000.0;
    impact.limits.severity_index = 100.0;
    const ImpactAnswer answer = answer_impact(sample_curves(sample), pad, impact,
                                              {.not_estimated = "print", .outside_card = {}})
                                    .front();
    const HitAnswer& hit = answer.hits.front();
    CHECK(rel_err(hit.traits.peak_acceleration_g, 141.3696) < settled);
    CHECK(rel_err(hit.low.peak_acceleration_g, 141.3696 * std::sqrt(0.8)) < settled);
    CHECK(rel_err(hit.high.peak_acceleration_g, 141.3696 * std::sqrt(1.2)) < settled);
    CHECK(rel_err(hit.high.largest_depth_m, 27.7272e-3 / std::sqrt(0.8)) < settled);
    CHECK(rel_err(hit.low.largest_depth_m, 27.7272e-3 / std::sqrt(1.2)) < settled);
    REQUIRE(answer.checks.size() == 4);
    CHECK(answer.checks[0].verdict == LimitVerdict::WithinDoubt);
    CHECK(answer.checks[1].verdict == LimitVerdict::WithinDoubt);
    CHECK(answer.checks[2].verdict == LimitVerdict::Met);
    CHECK(answer.checks[3].verdict == LimitVerdict::NotMet);
    CHECK(says(answer, "not estimated in the table: print"));
    CHECK_FALSE(answer.bottomed());
}

TEST_CASE("impact answer: without known doubt there is no interval, and it says so") {
    ImpactCase impact = fall(5.0, 6.2);
    impact.limits.peak_acceleration_g = 150.0;
    const ImpactAnswer answer = answer_impact(sample_curves(linear_grade(1.25e6)), pad, impact,
                                              {.not_estimated = "all", .outside_card = {}})
                                    .front();
    CHECK(std::isnan(answer.hits.front().low.peak_acceleration_g));
    CHECK(answer.checks.front().verdict == LimitVerdict::MetDoubtUnknown);
    CHECK(says(answer, "no interval"));
}

// Problem    more energy than the pad takes up to the end of the table: k d^2 / 2 = 153 J at 0.7.
TEST_CASE("impact answer: a pad that bottoms passes no limit") {
    ImpactCase impact = fall(5.0, 9.0);
    impact.limits.peak_acceleration_g = 1e6;
    const ImpactAnswer answer =
        answer_impact(sample_curves(linear_grade(1.25e6)), pad, impact, {}).front();
    CHECK(answer.bottomed());
    CHECK(answer.hits.front().run.largest_strain > 0.7);
    CHECK(answer.checks.front().verdict == LimitVerdict::Unknown);
    CHECK(verdict_name(answer.checks.front().verdict) == "unknown: bottomed");
    CHECK(says(answer, "hit 1 bottoms"));
    // One that only a softer pad bottoms: 150 J of 153.
    SampleGrade sample = linear_grade(1.25e6);
    sample.plateau_doubt_share = 0.1;
    impact.speed_m_per_s = 7.75;
    const ImpactAnswer near = answer_impact(sample_curves(sample), pad, impact, {}).front();
    CHECK_FALSE(near.bottomed());
    CHECK(near.checks.front().verdict == LimitVerdict::WithinDoubt);
    CHECK(says(near, "bottoms when stresses are less"));
}

TEST_CASE("impact answer: what the table does not know is said") {
    const ImpactAnswer answer =
        answer_impact(sample_curves(linear_grade(1.25e6, -1.0)), pad, fall(5.0, 6.2), {}).front();
    CHECK(says(answer, "the table does not unload"));
    CHECK(says(answer, "the table knows 1 1/s only"));
    // 6.2 m/s on 50 mm: 124 1/s at the touch; 27.7 mm in 7.02 ms at the turn: 78.9 1/s
    CHECK(rel_err(answer.hits.front().rate_at_touch_per_s, 124.0) < 1e-12);
    CHECK(rel_err(answer.hits.front().rate_at_turn_per_s, 27.7272e-3 / 0.05 / 7.0248e-3) < 1e-3);
    ImpactCase twice = fall(5.0, 3.0);
    twice.hits = 2;
    CHECK(says(answer_impact(sample_curves(linear_grade(1.25e6, 0.5)), pad, twice, {}).front(),
               "later hits assume"));
    const TableCaveats caveats{.not_estimated = {},
                               .outside_card = "1 of 3 curves, the first: 5 C (card: 10 to 40 C)"};
    CHECK(says(answer_impact(sample_curves(linear_grade(1.25e6)), pad, twice, caveats).front(),
               "curves lean on the polymer's law beyond its tests, which no interval holds: 1 of 3 "
               "curves, the first: 5 C"));
    CHECK(message_of([&] {
              ImpactCase warm = fall(5.0, 6.2);
              warm.temperatures_C = {40.0};
              (void)answer_impact(sample_curves(linear_grade(1.25e6)), pad, warm, {});
          }).find("temperature 40 C is asked for, but the table tells none") != std::string::npos);
}

// Problem    a layer of 1 MPa on one of 8 MPa, linear, half and half; the soft one's curve ends at
//            0.7 MPa.
// Exact      E = 2/(1/1 + 1/8) = 16/9 MPa; 0.7 MPa stand after 0.7^2/(2 E) x 0.5 l = 68.9 J, which
//            5 kg bring at 5.25 m/s.
TEST_CASE("impact answer: a layer past the end of its curve is told, from there on only") {
    GradeTable table = test::sample_table(linear_grade(1e6));
    for (GradeRow row : test::sample_table(linear_grade(8e6)).rows) {
        row.grade.relative_density = 2.0 * sample_density;
        row.grade.key += " firm";
        table.rows.push_back(row);
    }
    const GradeCurves curves(table, {.cell = "octet"});
    GradePad layered = pad;
    layered.layers = {{sample_density, 0.5}, {2.0 * sample_density, 0.5}};
    const auto told = [&](double speed) {
        return says(answer_impact(curves, layered, fall(5.0, speed), {}).front(),
                    "pressed past the end of its curve (0.7 MPa");
    };
    CHECK_FALSE(told(5.2));
    CHECK(told(5.3));
}
