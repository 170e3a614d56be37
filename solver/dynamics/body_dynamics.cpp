// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/body_dynamics.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <type_traits>

namespace cellgrade {

namespace {

/// Calls f on the contact that there is, if any.
template <class Contacts, class F>
void with_contact(Contacts& contacts, F f) {
    std::visit(
        [&](auto& contact) {
            if constexpr (!std::is_same_v<std::remove_cvref_t<decltype(contact)>, std::monostate>)
                f(contact);
        },
        contacts);
}

} // namespace

BodyDynamics::BodyDynamics(std::span<const Vec3> positions,
                           Body body,
                           const DynamicsSettings& settings)
    : body_(std::move(body)), motion_(positions, body_.node_inertia()), load_(positions.size()),
      settings_(settings) {
    CELLGRADE_CHECK(settings.step_safety > 0.0 && settings.step_safety < 1.0,
                    "step safety {} is not in (0, 1)", settings.step_safety);
    CELLGRADE_CHECK(settings.damping_per_s >= 0.0, "damping {} 1/s is below 0",
                    settings.damping_per_s);
}

void BodyDynamics::start() {
    find_loads();
    look_at_bound();
    double kinetic = motion_.kinetic_half();
    if (striker_) {
        kinetic += striker_->kinetic_half();
        clock_.fastest = striker_->speed();
    }
    clock_.work_half = kinetic + parts_.stored + parts_.contact; // what it starts with
    energies_wanted_ = false;
}

void BodyDynamics::step() {
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

double BodyDynamics::stable_step() const {
    return 2.0 / clock_.omega;
}

void BodyDynamics::look_at_bound() {
    if (clock_.steps >= clock_.next_look)
        look_at_elements();
    // Contact stiffens by decades within a few steps: its bound is taken anew every step.
    clock_.omega = std::sqrt(clock_.body_omega * clock_.body_omega + clock_.contact_omega_squared);
}

void BodyDynamics::look_at_elements() {
    constexpr double calm = 0.005; // a safety of 0.9 covers twenty times that
    const double before = clock_.body_omega;
    clock_.body_omega = body_.stable_omega(motion_.poses(), box_.lengths());
    const bool is_calm = std::abs(clock_.body_omega - before) < calm * before;
    clock_.looks_apart =
        is_calm ? std::min(2 * clock_.looks_apart, settings_.bound_at_most) : settings_.bound_every;
    clock_.next_look = clock_.steps + clock_.looks_apart;
}

StepTimes BodyDynamics::choose_step() {
    double next = settings_.step_safety * stable_step();
    if (settings_.step_cap_s > 0.0)
        next = std::min(next, settings_.step_cap_s);
    if (settings_.move_cap_m > 0.0)
        next = std::min(next, settings_.move_cap_m / std::max(clock_.fastest, 1e-300));
    // The first half step starts at t = 0 itself.
    const double dt = clock_.steps == 0 ? 0.5 * next : 0.5 * (clock_.dt + next);
    return {.dt = dt, .dt_next = next, .half_time = clock_.time + 0.5 * next};
}

MotionSums BodyDynamics::move(const StepTimes& times) {
    MotionSums of_box;
    BoxRates rates{.before = box_.velocity()};
    box_.advance(box_load_ + motion_.carried_load(load_), times, settings_.damping_per_s, of_box,
                 motion_.carried_mass());
    rates.now = box_.velocity();
    MotionSums sums = motion_.advance(load_, times,
                                      {.alpha = settings_.damping_per_s,
                                       .stretch_rate = damping_flow_,
                                       .shear_rate = damping_shear_},
                                      rates);
    sums.kinetic += of_box.kinetic;
    sums.damping_before += of_box.damping_before;
    sums.damping_work += of_box.damping_work;
    sums.load_before += of_box.load_before;
    sums.load_work += of_box.load_work;
    clock_.fastest = sums.largest_move / times.dt_next;
    for (PlateMotion& plates : plates_) {
        plates.advance(times);
        clock_.fastest = std::max(clock_.fastest, plates.fastest());
    }
    if (striker_) {
        striker_->advance(times, sums);
        clock_.fastest = std::max(clock_.fastest, striker_->speed());
    }
    return sums;
}

double BodyDynamics::point_load_power() const {
    double power = 0.0;
    for (const PointLoad& p : point_loads_) {
        const NodeRate& r = motion_.rates()[p.node];
        const double factor = p.factor ? p.factor(clock_.time) : 1.0;
        power +=
            factor * (p.force.dot(Vec3(r.vx, r.vy, r.vz)) + p.moment.dot(Vec3(r.wx, r.wy, r.wz)));
    }
    return power;
}

void BodyDynamics::close_ledger(const MotionSums& sums) {
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

void BodyDynamics::find_loads() {
    const BodyStep step{.material_dt = clock_ratio_ * clock_.dt, .solver_dt = clock_.dt};
    body_.find_loads(motion_.poses(), box_.lengths(), step, energies_wanted_, load_, box_load_);
    with_contact(contact_, [&](auto& contact) {
        contact.add_loads(motion_.poses(), motion_.rates(), box_.lengths(), clock_.dt, load_);
    });
    clock_.contact_omega_squared = 0.0;
    if (const ContactReport* report = contact_report()) {
        clock_.friction += report->friction_dissipation;
        clock_.contact_omega_squared = report->omega_squared;
        box_load_ -= report->box_gradient;
    }
    for (PlateMotion& plates : plates_) {
        plates.add_loads(motion_.poses(), motion_.rates(), clock_.dt, load_);
        clock_.contact_omega_squared += plates.omega_squared();
    }
    if (striker_) {
        striker_->add_loads(motion_.poses(), motion_.rates(), clock_.dt, load_);
        clock_.contact_omega_squared += striker_->omega_squared();
    }
    add_point_loads();
    if (!energies_wanted_)
        return;
    parts_.stored = body_.stored();
    parts_.viscous = body_.dissipated();
    parts_.contact = contact_report() != nullptr ? contact_report()->stored_energy() : 0.0;
    parts_.friction = clock_.friction;
    for (const PlateMotion& plates : plates_) {
        parts_.contact += plates.stored();
        parts_.friction += plates.friction();
    }
    if (striker_) {
        parts_.contact += striker_->stored();
        parts_.friction += striker_->friction();
    }
    const double sum = parts_.stored + parts_.contact;
    if (!std::isfinite(sum))
        throw run_error("energy is not finite at t = {:.4g} s (step {})", clock_.time,
                        clock_.steps);
}

void BodyDynamics::add_point_loads() {
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

const ContactReport* BodyDynamics::contact_report() const {
    const ContactReport* report = nullptr;
    with_contact(contact_, [&](const auto& contact) { report = &contact.report(); });
    return report;
}

double BodyDynamics::penetration_share() const {
    double deepest = contact_report() != nullptr ? contact_report()->deepest_share : 0.0;
    for (const PlateMotion& plates : plates_)
        deepest = std::max(deepest, plates.deepest_share());
    if (striker_)
        deepest = std::max(deepest, striker_->report().deepest_share);
    return deepest;
}

BodyDynamics::State BodyDynamics::save() const {
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
    with_contact(contact_, [&](const auto& contact) { state.contact = contact.save(); });
    return state;
}

void BodyDynamics::restore(const State& state) {
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
    if (state.contact)
        with_contact(contact_, [&](auto& contact) { contact.restore(*state.contact); });
}

} // namespace cellgrade
