// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_run.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double first_steps = 1000.0;          // over the time that the approach alone would take
constexpr double phase = 0.1;                   // of a step at the steepest slope, sqrt(k / m) dt
constexpr double least_step_share = 1.0 / 16.0; // jumps of a curve do not set the first step
constexpr int most_halvings = 9;
constexpr std::size_t most_rows = 5'000'000;

double first_step(const Foundation& foundation, const ImpactMotion& motion, double thickness) {
    const double by_speed = thickness / motion.speed_m_per_s / first_steps;
    const double k = foundation.steepest_N_per_m();
    const double by_slope = k > 0.0 ? phase * std::sqrt(motion.mass_kg / k) : by_speed;
    return std::clamp(by_slope, least_step_share * by_speed, by_speed);
}

struct Follower {
    const ImpactMotion& motion;
    ImpactRun run;
    double time = 0.0, depth = 0.0, speed = 0.0, force = 0.0;
    double work = 0.0; ///< done on the pad

    void note(const Foundation& foundation) {
        run.history.time_s.push_back(time);
        run.history.depth_m.push_back(depth);
        run.history.speed_m_per_s.push_back(speed);
        run.history.force_N.push_back(force);
        run.history.strain_rate_per_s.push_back(foundation.rate_per_s());
        const double m = motion.mass_kg, v0 = motion.speed_m_per_s;
        const double weight = motion.with_weight ? m * units::standard_gravity : 0.0;
        const double start = 0.5 * m * v0 * v0;
        run.energy_error =
            std::max(run.energy_error,
                     std::abs(0.5 * m * speed * speed + work - weight * depth - start) / start);
    }

    void step(Foundation& foundation, double dt) {
        const double g = motion.with_weight ? units::standard_gravity : 0.0;
        const double a = g - force / motion.mass_kg;
        const double next_depth = depth + dt * (speed + 0.5 * dt * a);
        const double next_force = foundation.move_to(next_depth, time + dt);
        const double done = 0.5 * (force + next_force) * (next_depth - depth);
        (done > 0.0 ? run.work_in_J : run.work_back_J) += std::abs(done);
        work += done;
        speed += 0.5 * dt * (a + g - next_force / motion.mass_kg);
        depth = next_depth;
        force = next_force;
        time += dt;
    }
};

ImpactRun follow(Foundation& foundation, const ImpactMotion& motion, double dt) {
    Follower at{.motion = motion, .run = {.time_step_s = dt}, .speed = motion.speed_m_per_s};
    at.force = foundation.move_to(0.0, 0.0);
    at.note(foundation);
    bool turned = false;
    while (true) {
        at.step(foundation, dt);
        at.note(foundation);
        if (turned && at.speed >= 0.0) {
            at.run.end = HitEnd::AtRest;
            break;
        }
        turned = turned || at.speed < 0.0;
        if (turned && !(at.force > 0.0))
            break;
        if (at.run.history.time_s.size() > most_rows)
            throw run_error("a blow of {:g} kg at {:g} m/s does not end within {:g} s",
                            motion.mass_kg, motion.speed_m_per_s, at.time);
    }
    at.run.largest_strain = foundation.largest_strain();
    at.run.rebound_speed_m_per_s = at.run.end == HitEnd::AtRest ? 0.0 : -at.speed;
    return at.run;
}

double peak(const ImpactRun& run) {
    return *std::max_element(run.history.force_N.begin(), run.history.force_N.end());
}

double difference(const ImpactRun& a, const ImpactRun& b, double speed) {
    const auto share = [](double x, double y) {
        return std::abs(x - y) / std::max(std::abs(y), 1e-300);
    };
    return std::max({share(peak(a), peak(b)), share(a.largest_strain, b.largest_strain),
                     std::abs(a.rebound_speed_m_per_s - b.rebound_speed_m_per_s) / speed});
}

} // namespace

ImpactRun follow_impact(Foundation& foundation, const ImpactMotion& motion) {
    const Foundation before = foundation;
    double dt = first_step(foundation, motion, foundation.thickness_m());
    ImpactRun coarse = follow(foundation, motion, dt);
    double moved = 0.0;
    for (int halving = 0; halving < most_halvings; ++halving) {
        dt *= 0.5;
        Foundation fresh = before;
        ImpactRun fine = follow(fresh, motion, dt);
        moved = difference(coarse, fine, motion.speed_m_per_s);
        const bool no_result = std::min(coarse.largest_strain, fine.largest_strain) -
                                   std::abs(coarse.largest_strain - fine.largest_strain) >
                               motion.result_to_strain;
        const bool settled =
            no_result || (moved < motion.tolerance && fine.energy_error < motion.energy_limit);
        coarse = std::move(fine);
        if (settled) {
            foundation = fresh;
            return coarse;
        }
    }
    throw run_error(
        "a blow of {:g} kg at {:g} m/s is not followed within {:g} (moves by {:.2g}, energy "
        "error {:.2g}) even at a step of {:.2g} s",
        motion.mass_kg, motion.speed_m_per_s, motion.tolerance, moved, coarse.energy_error, dt);
}

} // namespace cellgrade
