// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/beam_dynamics.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

BeamDynamics::BeamDynamics(std::span<const Vec3> positions,
                           BeamBody body,
                           const DynamicsSettings& settings)
    : body_(std::move(body)),
      motion_(positions, make_node_inertia(body_.mass().mass, body_.mass().inertia)),
      load_(positions.size()), settings_(settings) {
    CELLGRADE_CHECK(settings.step_safety > 0.0 && settings.step_safety < 1.0,
                    "step safety {} is not in (0, 1)", settings.step_safety);
    CELLGRADE_CHECK(settings.damping_per_s >= 0.0, "damping {} 1/s is below 0",
                    settings.damping_per_s);
}

void BeamDynamics::start() {
    find_loads();
    look_at_bound();
    const double kinetic = motion_.kinetic_half();
    clock_.work_half = kinetic + parts_.stored + parts_.contact; // what it starts with
    energies_wanted_ = false;
}

void BeamDynamics::step() {
    look_at_bound();
    const StepTimes times = choose_step();
    const double power_before = point_load_power();
    MotionSums sums = move(times);
    const double point_before = 0.5 * times.dt * power_before;
    sums.load_before += point_before;
    sums.load_work += point_before + 0.5 * times.dt * point_load_power();
    close_ledger(sums);
    clock_.time += times.dt_next;
    clock_.material_time += clock_ratio_ * times.dt_next;
    clock_.dt = times.dt_next;
    ++clock_.steps;
    find_loads();
    energies_wanted_ = false;
}

double BeamDynamics::stable_step() const {
    return 2.0 / clock_.omega;
}

void BeamDynamics::look_at_bound() {
    if (clock_.steps % settings_.bound_every == 0)
        clock_.body_omega = body_.stable_omega(motion_.poses(), box_.lengths());
    // Contact stiffens by decades within a few steps: its bound is taken anew every step.
    double squared = clock_.body_omega * clock_.body_omega;
    squared += contact_ ? contact_->stable_omega_squared_bound() : 0.0;
    for (const PlateMotion& plates : plates_)
        squared += plates.omega_squared();
    clock_.omega = std::sqrt(squared);
}

StepTimes BeamDynamics::choose_step() {
    double next = settings_.step_safety * stable_step();
    if (settings_.step_cap_s > 0.0)
        next = std::min(next, settings_.step_cap_s);
    if (settings_.move_cap_m > 0.0)
        next = std::min(next, settings_.move_cap_m / std::max(clock_.fastest, 1e-300));
    // The first half step starts at t = 0 itself.
    const double dt = clock_.steps == 0 ? 0.5 * next : 0.5 * (clock_.dt + next);
    return {.dt = dt, .dt_next = next, .half_time = clock_.time + 0.5 * next};
}

MotionSums BeamDynamics::move(const StepTimes& times) {
    MotionSums sums = motion_.advance(
        load_, times, {.alpha = settings_.damping_per_s, .stretch_rate = damping_flow_});
    box_.advance(box_load_, times, settings_.damping_per_s, sums);
    clock_.fastest = sums.largest_move / times.dt_next;
    for (PlateMotion& plates : plates_) {
        plates.advance(times);
        clock_.fastest = std::max(clock_.fastest, plates.fastest());
    }
    return sums;
}

double BeamDynamics::point_load_power() const {
    double power = 0.0;
    for (const PointLoad& p : point_loads_) {
        const NodeRate& r = motion_.rates()[p.node];
        const double factor = p.factor ? p.factor(clock_.time) : 1.0;
        power +=
            factor * (p.force.dot(Vec3(r.vx, r.vy, r.vz)) + p.moment.dot(Vec3(r.wx, r.wy, r.wz)));
    }
    return power;
}

void BeamDynamics::close_ledger(const MotionSums& sums) {
    ledger_ = parts_;
    ledger_.kinetic = sums.kinetic;
    ledger_.external = clock_.work_half + sums.load_before;
    for (const PlateMotion& plates : plates_)
        ledger_.external += plates.work();
    ledger_.damping = clock_.damping_half + sums.damping_before;
    clock_.work_half += sums.load_work;
    clock_.damping_half += sums.damping_work;
    if (!std::isfinite(sums.kinetic))
        throw run_error("velocities are not finite at t = {:.4g} s (step {})", clock_.time,
                        clock_.steps);
}

void BeamDynamics::find_loads() {
    const BodyStep step{.material_dt = clock_ratio_ * clock_.dt, .solver_dt = clock_.dt};
    body_.find_loads(motion_.poses(), box_.lengths(), step, energies_wanted_, load_, box_load_);
    if (contact_) {
        contact_->add_loads(motion_.poses(), motion_.rates(), box_.lengths(), clock_.dt, load_);
        clock_.friction += contact_->report().friction_dissipation;
        box_load_ -= contact_->report().box_gradient;
    }
    for (PlateMotion& plates : plates_)
        plates.add_loads(motion_.poses(), motion_.rates(), clock_.dt, load_);
    add_point_loads();
    if (!energies_wanted_)
        return;
    parts_.stored = body_.stored();
    parts_.viscous = body_.dissipated();
    parts_.contact = contact_ ? contact_->report().stored_energy() : 0.0;
    parts_.friction = clock_.friction;
    for (const PlateMotion& plates : plates_) {
        parts_.contact += plates.stored();
        parts_.friction += plates.friction();
    }
    const double sum = parts_.stored + parts_.contact;
    if (!std::isfinite(sum))
        throw run_error("energy is not finite at t = {:.4g} s (step {})", clock_.time,
                        clock_.steps);
}

void BeamDynamics::add_point_loads() {
    for (const PointLoad& p : point_loads_) {
        const double factor = p.factor ? p.factor(clock_.time) : 1.0;
        NodeLoad& load = load_[p.node];
        load.fx += factor * p.force.x();
        load.fy += factor * p.force.y();
        load.fz += factor * p.force.z();
        load.mx += factor * p.moment.x();
        load.my += factor * p.moment.y();
        load.mz += factor * p.moment.z();
    }
}

double BeamDynamics::penetration_share() const {
    double deepest = contact_ ? contact_->report().deepest_share : 0.0;
    for (const PlateMotion& plates : plates_)
        deepest = std::max(deepest, plates.deepest_share());
    return deepest;
}

BeamDynamics::State BeamDynamics::save() const {
    State state{.clock = clock_,
                .nodes = motion_.save(),
                .box = box_.save(),
                .body = body_.save(),
                .load = load_,
                .box_load = box_load_,
                .parts = parts_,
                .ledger = ledger_};
    for (const PlateMotion& plates : plates_)
        state.plates.push_back(plates.save());
    if (contact_)
        state.contact = contact_->save();
    return state;
}

void BeamDynamics::restore(const State& state) {
    clock_ = state.clock;
    motion_.restore(state.nodes);
    box_.restore(state.box);
    for (std::size_t i = 0; i < plates_.size(); ++i)
        plates_[i].restore(state.plates[i]);
    body_.restore(state.body);
    load_ = state.load;
    box_load_ = state.box_load;
    parts_ = state.parts;
    ledger_ = state.ledger;
    if (contact_ && state.contact)
        contact_->restore(*state.contact);
}

} // namespace cellgrade
