// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/oblique.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;
using test::rel_err;

namespace {

/// A half-sine force of a given impulse; chords of 2000 steps lose (pi/2000)^2/12 of it.
ImpactHistory half_sine(double peak_N, double duration_s) {
    ImpactHistory hit;
    for (int i = 0; i <= 2000; ++i) {
        hit.time_s.push_back(duration_s * i / 2000);
        hit.force_N.push_back(peak_N * std::sin(std::numbers::pi * i / 2000));
    }
    return hit;
}

constexpr double mass = 4.7, radius = 0.09, inertia = 0.4 * mass * radius * radius;

} // namespace

// Problem    a uniform sphere thrown along a pad, friction too small to stop the slip.
// Exact      angular speed mu l / I x impulse, impulse 2 F T / pi; peak mu l F / I.
TEST_CASE("oblique: while it slips, friction turns a body by its impulse") {
    const double mu = 0.1, F = 5000.0, T = 0.01;
    const ObliqueMotion turn = oblique_motion(half_sine(F, T), mass,
                                              {.tangential_speed_m_per_s = 8.0,
                                               .friction = mu,
                                               .inertia_kg_m2 = inertia,
                                               .lever_m = radius});
    const double impulse = 2.0 * F * T / std::numbers::pi;
    CHECK(turn.slips_throughout);
    CHECK(std::isnan(turn.grip_s));
    CHECK(rel_err(turn.angular_speed_change_rad_per_s, mu * radius / inertia * impulse) < 1e-5);
    CHECK(rel_err(turn.peak_angular_acceleration_rad_per_s2, mu * radius * F / inertia) < 1e-9);
    CHECK(rel_err(turn.tangential_speed_m_per_s.back(), 8.0 - mu * impulse / mass) < 1e-5);
}

// Problem    the same with much friction: it grips and rolls.
// Exact      5 v / (7 l), whatever friction and force are; speed left 5/7 v. Grips when the impulse
// is
//            (2/7) m v / mu: half-sine impulse F T / pi (1 - cos(pi t / T)).
// Source     a ball that slides and starts to roll, any textbook of mechanics.
TEST_CASE("oblique: a sphere that grips turns at 5 v / 7 l") {
    const double v = 3.0, F = 5000.0, T = 0.01;
    for (const double mu : {0.4, 0.8}) {
        const ObliqueMotion turn = oblique_motion(half_sine(F, T), mass,
                                                  {.tangential_speed_m_per_s = v,
                                                   .friction = mu,
                                                   .inertia_kg_m2 = inertia,
                                                   .lever_m = radius});
        CHECK_FALSE(turn.slips_throughout);
        CHECK(rel_err(turn.angular_speed_change_rad_per_s, 5.0 * v / (7.0 * radius)) < 1e-12);
        CHECK(rel_err(turn.tangential_speed_m_per_s.back(), 5.0 / 7.0 * v) < 1e-12);
        const double share = 2.0 / 7.0 * mass * v / mu * std::numbers::pi / (F * T);
        CHECK(rel_err(turn.grip_s, T / std::numbers::pi * std::acos(1.0 - share)) < 1e-4);
        CHECK(turn.angular_acceleration_rad_per_s2.back() == 0.0);
    }
}

TEST_CASE("oblique: the brain injury criterion is 1 at each axis' critical speed") {
    CHECK(rel_err(brain_injury_criterion(66.25, HeadAxis::X), 1.0) < 1e-12);
    CHECK(rel_err(brain_injury_criterion(56.45, HeadAxis::Y), 1.0) < 1e-12);
    CHECK(rel_err(brain_injury_criterion(42.87, HeadAxis::Z), 1.0) < 1e-12);
    CHECK(brain_injury_criterion(10.0, HeadAxis::Unknown) ==
          brain_injury_criterion(10.0, HeadAxis::Z));
}
