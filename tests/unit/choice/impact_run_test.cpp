// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_run.hpp"

#include "solver/choice/impact_traits.hpp"
#include "solver/core/units.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/choice/choice_samples.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace cellgrade;
using std::numbers::pi;
using test::linear_grade;
using test::plateau_grade;
using test::rel_err;
using test::sample_response;

namespace {

constexpr double g0 = units::standard_gravity;
// Runs are halved until two steps agree within 2e-4; the scheme's error falls at least in
// proportion, so the finer one is within 2e-4. 0.5 % is asked for.
constexpr double settled = 3e-4;

ImpactRun run_of(const GradeResponse& grade,
                 const Striker& striker,
                 const Pad& pad,
                 const ImpactMotion& motion) {
    Foundation foundation(grade, striker, pad);
    foundation.begin_hit(0.0);
    return follow_impact(foundation, motion);
}

std::size_t turn_of(const ImpactHistory& hit) {
    return static_cast<std::size_t>(std::max_element(hit.depth_m.begin(), hit.depth_m.end()) -
                                    hit.depth_m.begin());
}

/// Depth at which an energy that rises with depth reaches `wanted`, by bisection.
template <class Energy>
double depth_of(Energy energy, double wanted, double most) {
    double low = 0.0, high = most;
    for (int i = 0; i < 100; ++i) {
        const double middle = 0.5 * (low + high);
        (energy(middle) < wanted ? low : high) = middle;
    }
    return low;
}

} // namespace

// Problem    rigid mass of 5 kg at 6.2 m/s on a linear spring of 250 kN/m that gives all back.
// Exact      peak v sqrt(k / m) = 141.3696 g, stroke 27.7272 mm, contact pi sqrt(m / k) = 14.0496
// ms. Source     one degree of freedom (references C11).
TEST_CASE("impact: a linear spring is met in force, stroke, time and rebound") {
    const double k = 250e3;
    const Pad pad{.thickness_m = 0.05, .area_m2 = 0.01};
    const GradeResponse grade = sample_response(linear_grade(k * pad.thickness_m / pad.area_m2));
    const ImpactRun run =
        run_of(grade, Striker::flat(), pad, {.mass_kg = 5.0, .speed_m_per_s = 6.2});
    const ImpactTraits t =
        impact_traits(run, {.name = "", .mass_kg = 5.0, .speed_m_per_s = 6.2, .striker = {}});
    CHECK(rel_err(t.peak_acceleration_g, 141.3696) < settled);
    CHECK(rel_err(t.largest_depth_m, 27.7272e-3) < settled);
    CHECK(rel_err(t.pulse_s, 14.0496e-3) < 2e-3); // ends with a whole step
    CHECK(rel_err(t.rebound_speed_m_per_s, 6.2) < settled);
    CHECK(rel_err(t.returned_energy_J, t.impact_energy_J) < 2.0 * settled);
    CHECK(run.energy_error < 1e-3);
    // Half-sine of that peak and time: HIC = 0.41464565 A^2.5 T (references H2).
    CHECK(rel_err(t.hic15, 0.41464565 * std::pow(141.3696, 2.5) * 14.0496e-3) < 1e-3);
    CHECK(rel_err(t.severity_index, 0.45765586 * std::pow(141.3696, 2.5) * 14.0496e-3) < 1e-3);
}

// Problem    5 kg at 6.2 m/s on an ideal plateau of 0.5 MPa over 100 cm2, weight included.
// Exact      accelerometer 101.9716 g, net deceleration 100.9716 g, stop in 19.41035 mm and
//            6.261403 ms, HIC of the net deceleration 641.4606.
// Source     energy and impulse (references H9).
TEST_CASE("impact: a constant plateau with weight is met in force, stroke, time and HIC") {
    const GradeResponse grade = sample_response(plateau_grade(0.5e6));
    const ImpactRun run = run_of(grade, Striker::flat(), {.thickness_m = 0.05, .area_m2 = 0.01},
                                 {.mass_kg = 5.0, .speed_m_per_s = 6.2, .with_weight = true});
    const std::size_t turn = turn_of(run.history);
    AccelerationPulse net = accelerometer(run.history, 5.0);
    CHECK(rel_err(*std::max_element(net.acceleration_g.begin(), net.acceleration_g.end()),
                  101.9716) < settled);
    CHECK(rel_err(run.history.depth_m[turn], 19.41035e-3) < settled);
    CHECK(rel_err(run.history.time_s[turn], 6.261403e-3) < 1e-3);
    net.time_s.resize(turn);
    net.acceleration_g.resize(turn);
    for (double& a : net.acceleration_g)
        a -= 1.0;
    CHECK(rel_err(head_injury_criterion(net, hic15_window_s).value, 641.4606) < 1e-3);
    CHECK(run.rebound_speed_m_per_s < 0.05);
}

// Problem    sphere of radius 90 mm on a plateau of 0.3 MPa; 4.7 kg at 5.42 m/s.
// Exact      force = plateau pi (2 R d - d^2); depth where plateau pi (R d^2 - d^3/3) = m v^2 / 2.
// Tolerance  rings lose 1e-5 of the force.
TEST_CASE("impact: a sphere on a plateau pad is met in force and depth") {
    const double R = 0.09, plateau = 0.3e6, m = 4.7, v = 5.42;
    const GradeResponse grade = sample_response(plateau_grade(plateau));
    const ImpactRun run = run_of(grade, Striker::sphere(R), {.thickness_m = 0.05, .area_m2 = 0.1},
                                 {.mass_kg = m, .speed_m_per_s = v});
    const double depth =
        depth_of([&](double d) { return plateau * pi * (R * d * d - d * d * d / 3.0); },
                 0.5 * m * v * v, 0.05);
    REQUIRE(depth < 0.7 * 0.05);
    const std::size_t turn = turn_of(run.history);
    CHECK(rel_err(run.history.depth_m[turn], depth) < settled);
    CHECK(rel_err(*std::max_element(run.history.force_N.begin(), run.history.force_N.end()),
                  plateau * pi * (2.0 * R * depth - depth * depth)) < 2.0 * settled);
}

// Problem    the sphere on a pad smaller than its contact: from d_c on the force is plateau x area.
// Exact      energy plateau pi (R d_c^2 - d_c^3/3) + plateau area (d - d_c) = m v^2 / 2.
TEST_CASE("impact: a pad carries nothing beyond its area") {
    const double R = 0.09, plateau = 1e6, m = 4.7, v = 5.42, area = 0.0025;
    const Striker sphere = Striker::sphere(R);
    const double cut = sphere.height_at(area);
    const double until = plateau * pi * (R * cut * cut - cut * cut * cut / 3.0);
    const double depth = cut + (0.5 * m * v * v - until) / (plateau * area);
    const GradeResponse grade = sample_response(plateau_grade(plateau));
    const ImpactRun run = run_of(grade, sphere, {.thickness_m = 0.05, .area_m2 = area},
                                 {.mass_kg = m, .speed_m_per_s = v});
    REQUIRE(run.largest_strain < 0.7);
    CHECK(rel_err(run.largest_strain * 0.05, depth) < settled);
    CHECK(rel_err(*std::max_element(run.history.force_N.begin(), run.history.force_N.end()),
                  plateau * area) < settled);
}

// Problem    sphere on a linear foundation of modulus E and thickness h, all given back.
// Exact      force = pi E / h (R d^2 - d^3/3), energy pi E / h (R d^3/3 - d^4/12).
TEST_CASE("impact: a sphere on a linear foundation is met in force, depth and rebound") {
    const double R = 0.05, E = 2e6, h = 0.03, m = 1.0, v = 3.0;
    const GradeResponse grade = sample_response(linear_grade(E));
    const ImpactRun run = run_of(grade, Striker::sphere(R), {.thickness_m = h, .area_m2 = 0.1},
                                 {.mass_kg = m, .speed_m_per_s = v});
    const double depth = depth_of(
        [&](double d) { return pi * E / h * (R * d * d * d / 3.0 - d * d * d * d / 12.0); },
        0.5 * m * v * v, h);
    REQUIRE(depth < 0.7 * h);
    CHECK(rel_err(run.largest_strain * h, depth) < settled);
    CHECK(rel_err(*std::max_element(run.history.force_N.begin(), run.history.force_N.end()),
                  pi * E / h * (R * depth * depth - depth * depth * depth / 3.0)) < 2.0 * settled);
    CHECK(rel_err(run.rebound_speed_m_per_s, v) < settled);
}

// Problem    a linear pad that gives back the share q of the stress; three hits, nothing recovers.
// Exact      d1^2 = m v^2 / k; each hit first follows q k d up to the depth before, then k d:
//            d2^2 = d1^2 + (1 - q) d1^2, d3^2 = d1^2 + (1 - q) d2^2; rebound v sqrt(q).
TEST_CASE("impact: later hits follow the softened path, and a recovered pad is new") {
    const double q = 0.4, k = 100e3, m = 2.0, v = 3.0, h = 0.05;
    const Pad pad{.thickness_m = h, .area_m2 = 0.01};
    const GradeResponse grade = sample_response(linear_grade(k * h / pad.area_m2, q));
    const double d1 = v * std::sqrt(m / k), d2 = d1 * std::sqrt(2.0 - q);
    const double d3 = std::sqrt(d1 * d1 + (1.0 - q) * d2 * d2);
    REQUIRE(d3 < 0.7 * h);
    Foundation soft(grade, Striker::flat(), pad), fresh(grade, Striker::flat(), pad);
    for (const double depth : {d1, d2, d3}) {
        soft.begin_hit(0.0);
        const ImpactRun run = follow_impact(soft, {.mass_kg = m, .speed_m_per_s = v});
        CHECK(rel_err(run.largest_strain * h, depth) < settled);
        CHECK(rel_err(run.rebound_speed_m_per_s, v * std::sqrt(q) * depth / d1) < 2e-3);
        fresh.begin_hit(1.0);
        CHECK(rel_err(follow_impact(fresh, {.mass_kg = m, .speed_m_per_s = v}).largest_strain * h,
                      d1) < settled);
    }
}

// Problem    mass and area doubled; mass and stress doubled.
// Exact      the same motion, twice the force. Tolerance: rounding.
TEST_CASE("impact: mass scales with area and with stress") {
    const GradeResponse grade = sample_response(linear_grade(1e6, 0.5));
    const GradeResponse stiff = sample_response(linear_grade(2e6, 0.5));
    const auto peak = [](const ImpactRun& run) {
        return *std::max_element(run.history.force_N.begin(), run.history.force_N.end());
    };
    const ImpactMotion light{.mass_kg = 2.0, .speed_m_per_s = 3.0};
    const ImpactMotion heavy{.mass_kg = 4.0, .speed_m_per_s = 3.0};
    const ImpactRun one =
        run_of(grade, Striker::flat(), {.thickness_m = 0.04, .area_m2 = 0.01}, light);
    for (const ImpactRun& two :
         {run_of(grade, Striker::flat(), {.thickness_m = 0.04, .area_m2 = 0.02}, heavy),
          run_of(stiff, Striker::flat(), {.thickness_m = 0.04, .area_m2 = 0.01}, heavy)}) {
        CHECK(rel_err(peak(two), 2.0 * peak(one)) < 1e-6);
        CHECK(rel_err(two.largest_strain, one.largest_strain) < 1e-6);
        CHECK(rel_err(two.rebound_speed_m_per_s, one.rebound_speed_m_per_s) < 1e-6);
    }
}

// Problem    a body set down slowly with its weight on a pad that gives nothing back.
// Exact      it stays: no rebound.
TEST_CASE("impact: a body may come to rest on the pad under its weight") {
    const GradeResponse grade = sample_response(linear_grade(1e5, 0.05));
    const ImpactRun run = run_of(grade, Striker::flat(), {.thickness_m = 0.05, .area_m2 = 0.01},
                                 {.mass_kg = 5.0, .speed_m_per_s = 0.05, .with_weight = true});
    CHECK(run.end == HitEnd::AtRest);
    CHECK(run.rebound_speed_m_per_s == 0.0);
    // m g d + m v^2 / 2 = k d^2 / 2, k = 20 kN/m
    const double k = 2e4, m = 5.0;
    const double depth = (m * g0 + std::sqrt(m * g0 * m * g0 + k * m * 0.05 * 0.05)) / k;
    CHECK(rel_err(run.largest_strain * 0.05, depth) < settled);
}
