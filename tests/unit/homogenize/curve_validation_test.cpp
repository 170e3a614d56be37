// SPDX-License-Identifier: Apache-2.0
// Scores and corridors against closed forms. The score is that of Sprague & Geers (2004),
// Int. J. Numer. Methods Eng. 60, 2467; every expected number below is an integral done by hand.
#include "solver/core/error.hpp"
#include "solver/homogenize/curve_validation.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <numbers>

using namespace cellgrade;

namespace {

CurveBranch sampled(int rows, double to, const std::function<double(double)>& stress) {
    CurveBranch branch;
    for (int i = 0; i <= rows; ++i) {
        branch.strain.push_back(to * i / rows);
        branch.stress_Pa.push_back(stress(to * i / rows));
    }
    return branch;
}

CurveScore score_over(const CurveBranch& measured, const CurveBranch& computed) {
    return curve_score(curve_products(measured, computed, common_range(measured, computed)));
}

/// Up a straight line to (0.1, scale), back down another to (0.05, 0).
CrushCurve triangle(double scale) {
    return {.nominal_strain = {0.0, 0.1, 0.05},
            .nominal_stress_Pa = {0.0, scale, 0.0},
            .turn = 2,
            .shear_strain = {},
            .shear_stress_Pa = {}};
}

} // namespace

TEST_CASE("curve_score: a scaled curve differs in size alone") {
    const auto shape = [](double e) { return 1e5 * (3.0 * e - 2.0 * e * e); };
    const CurveScore s = score_over(sampled(50, 0.7, shape),
                                    sampled(50, 0.7, [&](double e) { return 1.25 * shape(e); }));
    CHECK(test::rel_err(s.magnitude, 0.25) < 1e-12);
    CHECK(s.phase < 1e-7); // acos(1 - 1e-16) = 1.5e-8
    CHECK(test::rel_err(s.combined, 0.25) < 1e-7);
}

TEST_CASE("curve_score: a sine shifted over whole periods differs in phase alone") {
    // int sin x sin(x + f) = cos(f) int sin^2 over whole periods, so P = f / pi.
    const double f = 0.3, turns = 2.0 * std::numbers::pi / 0.25;
    const auto shifted = [&](double scale, double shift) {
        return sampled(1000, 0.5, [=](double e) { return scale * std::sin(turns * e + shift); });
    };
    const CurveScore s = score_over(shifted(1.0, 0.0), shifted(1.0, f));
    CHECK(std::abs(s.magnitude) < 1e-9); // equal sampling: the same error of straight lines
    CHECK(test::rel_err(s.phase, f / std::numbers::pi) < 1e-9);
    const CurveScore both = score_over(shifted(2.0, 0.0), shifted(2.6, f));
    CHECK(test::rel_err(both.magnitude, 0.3) < 1e-9);
    CHECK(test::rel_err(both.combined, std::hypot(0.3, f / std::numbers::pi)) < 1e-9);
    const CurveScore mirror = score_over(shifted(1.0, 0.0), shifted(-1.0, 0.0));
    CHECK(test::rel_err(mirror.phase, 1.0) < 1e-7);
}

TEST_CASE("curve_score: curves of different shape and sampling") {
    // m = e, c = e^2 on [0, 1): int m^2 = 1/3, int c^2 = 1/5, int m c = 1/4. Straight lines over
    // 1000 rows lie above e^2 by at most h^2 / 4 = 2.5e-7.
    const CurveScore s = score_over(sampled(1, 1.0, [](double e) { return e; }),
                                    sampled(1000, 1.0, [](double e) { return e * e; }));
    CHECK(test::rel_err(s.magnitude, std::sqrt(3.0 / 5.0) - 1.0) < 3e-6);
    CHECK(test::rel_err(s.phase, std::acos(0.25 * std::sqrt(15.0)) / std::numbers::pi) < 3e-6);
    CHECK(std::isnan(curve_score({.mm = 0.0, .cc = 1.0, .mc = 0.0}).combined));
}

TEST_CASE("corridor: mean, deviation and share inside of straight repeats") {
    // Repeats e, 2e, 3e: mean 2e, sample deviation e. A constant 0.4 lies within one deviation for
    // 0.4/3 < e < 0.4, within two for e > 0.1.
    std::vector<CurveBranch> repeats;
    for (const double slope : {1.0, 2.0, 3.0})
        repeats.push_back(
            sampled(3 + static_cast<int>(slope), 1.0, [=](double e) { return slope * e; }));
    const Corridor c = corridor_of(repeats);
    for (std::size_t i = 1; i < c.mean.strain.size(); ++i) {
        CHECK(test::rel_err(c.mean.stress_Pa[i], 2.0 * c.mean.strain[i]) < 1e-12);
        CHECK(test::rel_err(c.deviation_Pa[i], c.mean.strain[i]) < 1e-12);
    }
    const CurveBranch constant = sampled(1, 1.0, [](double) { return 0.4; });
    CHECK(test::rel_err(share_inside(c, constant, {0.0, 1.0}, 1.0), 0.4 - 0.4 / 3.0) < 1e-12);
    CHECK(test::rel_err(share_inside(c, constant, {0.0, 1.0}, 2.0), 0.9) < 1e-12);
    CHECK(test::rel_err(share_inside(c, constant, {0.0, 0.2}, 2.0), 0.5) < 1e-12);
    const Corridor one = corridor_of(std::span(repeats).first(1));
    CHECK(std::isnan(share_inside(one, constant, {0.0, 1.0}, 1.0)));
}

TEST_CASE("validate_curve: peak, energy and loop of triangles") {
    // Loading energy 0.05 s, returned 0.025 s for a peak s: loop 0.025 s.
    const std::vector<CrushCurve> measured{triangle(0.9e6), triangle(1.1e6)};
    const CurveValidation v = validate_curve(triangle(1.2e6), measured);
    CHECK(test::rel_err(v.peak_stress_Pa.computed, 1.2e6) < 1e-12);
    CHECK(test::rel_err(v.peak_stress_Pa.measured, 1e6) < 1e-12);
    CHECK(test::rel_err(v.peak_stress_Pa.deviation, std::sqrt(0.02) * 1e6) < 1e-12);
    CHECK(test::rel_err(v.loading_energy.measured, 0.05e6) < 1e-12);
    CHECK(test::rel_err(v.loop_area.measured, 0.025e6) < 1e-12);
    for (const Difference& d : {v.peak_stress_Pa, v.loading_energy, v.loop_area})
        CHECK(test::rel_err(d.relative(), 0.2) < 1e-12);
    REQUIRE(v.unloading.has_value());
    for (const CurveScore& s : {v.loading.score, v.unloading->score, v.overall})
        CHECK(test::rel_err(s.magnitude, 0.2) < 1e-12);
    CHECK(v.loading.inside_one == 0.0); // 1.2 lies 1.41 deviations above 1
    CHECK(test::rel_err(v.loading.inside_two, 1.0) < 1e-12);
    CHECK(v.notes.empty());
}

TEST_CASE("validate_curve: only the strain that all reach is compared, and it is told") {
    CrushCurve longer{.nominal_strain = {0.0, 0.2},
                      .nominal_stress_Pa = {0.0, 2e6},
                      .turn = 2,
                      .shear_strain = {},
                      .shear_stress_Pa = {}};
    const std::vector<CrushCurve> measured{triangle(1e6)};
    const CurveValidation v = validate_curve(longer, measured);
    CHECK(test::rel_err(v.peak_stress_Pa.computed, 1e6) < 1e-12);
    CHECK(test::rel_err(v.loading_energy.computed, 0.05e6) < 1e-12);
    CHECK_FALSE(v.unloading.has_value());
    CHECK(std::isnan(v.loop_area.computed));
    CHECK(std::isnan(v.loading_energy.deviation));
    CHECK(v.notes.size() == 2);
    CHECK(v.overall.combined == v.loading.score.combined);
}

TEST_CASE("unloading_branch: a free platen carries nothing down to strain 0") {
    CrushCurve curve = triangle(1e6);
    curve.nominal_strain = {0.0, 0.1, 0.07, 0.03, 0.01};
    curve.nominal_stress_Pa = {0.0, 1e6, 0.4e6, -0.4e6, -0.3e6};
    const std::optional<CurveBranch> back = unloading_branch(curve);
    REQUIRE(back.has_value());
    // free half-way between 0.07 and 0.03
    CHECK(test::rel_err(area_under(*back, {0.0, 0.1}), 0.5 * 0.4e6 * 0.02 + 0.7e6 * 0.03) < 1e-12);
    CHECK(back->strain.front() == 0.0);
    curve.nominal_stress_Pa = {0.0, 1e6, 0.4e6, 0.3e6, 0.2e6};
    CHECK(unloading_branch(curve)->strain.front() == 0.01); // not free: not continued
}

TEST_CASE("curve branches: a platen that turns may load a little further") {
    CrushCurve curve = triangle(1e6);
    curve.nominal_strain = {0.0, 0.1, 0.102, 0.101, 0.05};
    curve.nominal_stress_Pa = {0.0, 1e6, 1.01e6, 0.9e6, 0.0};
    CHECK(loading_branch(curve).strain.back() == 0.102);
    CHECK(unloading_branch(curve)->strain.back() == 0.102);
    CHECK(unloading_branch(curve)->stress_Pa.back() == 1.01e6);
}

TEST_CASE("validate_curve: what cannot be compared is refused") {
    const std::vector<CrushCurve> none;
    CHECK_THROWS_AS((void)validate_curve(triangle(1e6), none), Error);
    CrushCurve single = triangle(1e6);
    single.nominal_strain = {0.0};
    single.nominal_stress_Pa = {0.0};
    single.turn = 1;
    const std::vector<CrushCurve> bad{single};
    CHECK_THROWS_AS((void)validate_curve(triangle(1e6), bad), Error);
}
