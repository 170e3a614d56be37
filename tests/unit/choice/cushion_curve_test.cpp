// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/cushion_curve.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/choice/choice_samples.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;
using test::message_of;
using test::rel_err;
using test::sample_response;

namespace {

constexpr double settled = 3e-4; // as impact_run_test

} // namespace

// Problem    flat drops on a linear material and on a plateau.
// Exact      sqrt(2 H E / (t s)); p / s. Source: energy.
TEST_CASE("cushion curve: closed forms of a linear material and of a plateau") {
    const double E = 1e6, p = 0.2e6, t = 0.04, H = 0.5;
    const CushionCurve line =
        cushion_curve(sample_response(test::linear_grade(E)), t, H, stress_ladder(1e3, 15e3, 4));
    for (const CushionPoint& point : line.points) {
        REQUIRE_FALSE(point.bottomed);
        CHECK(rel_err(point.peak_acceleration_g,
                      std::sqrt(2.0 * H * E / (t * point.static_stress_Pa))) < settled);
    }
    const CushionCurve flat =
        cushion_curve(sample_response(test::plateau_grade(p)), t, H, stress_ladder(1e3, 10e3, 4));
    for (const CushionPoint& point : flat.points) {
        REQUIRE_FALSE(point.bottomed);
        CHECK(rel_err(point.peak_acceleration_g, p / point.static_stress_Pa) < settled);
        CHECK(rel_err(point.largest_strain, point.static_stress_Pa * H / (p * t)) < settled);
    }
}

// Problem    a material that stiffens, the same at all rates; thickness and height doubled.
// Exact      the same curve. Tolerance: time scales by sqrt(2), so steps differ.
TEST_CASE("cushion curve: only the height over the thickness counts") {
    test::SampleGrade sample;
    sample.stress_Pa = [](double e, double) { return 1e5 * (e + 8.0 * e * e * e * e); };
    const GradeResponse grade = sample_response(sample);
    const std::vector<double> stresses = stress_ladder(1e3, 4e4, 7);
    const CushionCurve one = cushion_curve(grade, 0.03, 0.3, stresses);
    const CushionCurve two = cushion_curve(grade, 0.06, 0.6, stresses);
    for (std::size_t i = 0; i < stresses.size(); ++i)
        CHECK(rel_err(two.points[i].peak_acceleration_g, one.points[i].peak_acceleration_g) < 4e-4);
}

TEST_CASE("cushion curve: past the table there is no result, and the best point lies before") {
    const GradeResponse grade = sample_response(test::plateau_grade(0.2e6));
    // strain s H / (p t): 0.7 at 11.2 kPa
    const CushionCurve curve = cushion_curve(grade, 0.04, 0.5, {5e3, 10e3, 20e3});
    CHECK_FALSE(curve.points[1].bottomed);
    CHECK(curve.points[2].bottomed);
    REQUIRE(best_point(curve) != nullptr);
    CHECK(best_point(curve)->static_stress_Pa == 10e3);
    CHECK(best_point(cushion_curve(grade, 0.04, 0.5, {20e3})) == nullptr);
    CHECK(message_of([&] {
              (void)cushion_curve(grade, 0.04, 0.5, {2e3, 1e3});
          }) == "static stresses must be above 0 and rise: 1000 Pa after 2000 Pa");
}
