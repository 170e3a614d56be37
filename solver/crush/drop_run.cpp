// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/drop_run.hpp"

#include "solver/core/error.hpp"
#include "solver/crush/drop_traits.hpp"
#include "solver/crush/setup_notes.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double quiet_share = 0.05;      // of the time so far: without contact, it has left
constexpr double heights_to_limit = 20.0; // way at the first speed that the time limit allows
constexpr double momentum_limit = 1e-6;   // every step balances to rounding; 1e6 steps of 1e-16

} // namespace

DropRun::DropRun(const DropSetup& setup, const DropHooks& hooks)
    : setup_(setup), hooks_(hooks), model_(setup) {
    const double speed = setup.striker.speed_m_per_s * std::cos(setup.striker.path_angle);
    time_limit_ = setup.numerics.time_limit_s.value_or(heights_to_limit * model_.height() / speed);
    notes_ = setup_notes(setup.pad, speed / model_.height(), model_.dynamics());
    for (const std::string& note : notes_)
        hooks.log.write(LogLevel::Warning, "{}", note);
    first_row();
    if (setup.pad.numerics.frames > 0) {
        frame_interval_ = model_.height() / speed / setup.pad.numerics.frames;
        take_frame();
    }
}

DropRecord DropRun::finish() {
    DropRecord record;
    try {
        while (!has_left() && !interrupted_ && model_.dynamics().time() < time_limit_)
            step();
        record.end = interrupted_ ? DropEnd::Interrupted
                     : has_left() ? DropEnd::Left
                                  : DropEnd::TimeLimit;
    } catch (const Error& error) {
        if (error.fault() != Fault::Run)
            throw;
        record.end = DropEnd::Failed;
        record.failure = error.what();
    }
    judge(record);
    return record;
}

bool DropRun::has_left() const {
    const double time = model_.dynamics().time();
    return last_touch_ >= 0.0 && speed() < 0.0 && time - last_touch_ > quiet_share * time;
}

void DropRun::step() {
    BodyDynamics& dynamics = model_.dynamics();
    const bool due = dynamics.time() + dynamics.last_step() >= next_row_;
    if (due)
        dynamics.want_energies();
    model_.step();
    if (waiting_)
        complete_row();
    deepest_penetration_ = std::max(deepest_penetration_, dynamics.penetration_share());
    if (model_.striker().report().n_touching > 0)
        last_touch_ = dynamics.time();
    if (!turned_ && speed() <= 0.0)
        note_turn();
    if (due) {
        start_row();
        check_limits();
        report_progress();
    }
    if (setup_.pad.numerics.frames > 0 && dynamics.time() >= next_frame_)
        take_frame();
    if (hooks_.stop && dynamics.steps() % 256 == 0 && hooks_.stop())
        interrupted_ = true;
}

void DropRun::check_limits() const {
    const BodyDynamics& dynamics = model_.dynamics();
    const double depth = model_.depth(), limit = setup_.pad.limits.penetration;
    if (dynamics.penetration_share() > limit || depth >= model_.height())
        throw run_error("the pad bottoms out: {:.3g} mm deep contact penetrates {:.1f} % of the "
                        "{}, the limit is {:.0f} %; a denser grade, a thicker pad or a lower speed "
                        "is needed",
                        1e3 * depth, 100.0 * dynamics.penetration_share(),
                        beams(setup_.pad.mesh) != nullptr ? "strut radius" : "element size",
                        100.0 * limit);
    if (dynamics.last_step() < 1e-3 * model_.free_step())
        throw run_error("the stable step fell below a thousandth of its start {:.3g} mm deep",
                        1e3 * depth);
}

void DropRun::first_row() {
    const StrikerMotion& striker = model_.striker();
    for (const DropHistoryField& field : drop_history_fields())
        (history_.*field.member).push_back(0.0);
    history_.height_m.back() = model_.lowest();
    history_.depth_m.back() = model_.depth();
    history_.speed_m_per_s.back() = speed();
    history_.slide_speed_m_per_s.back() = striker.place().velocity.x();
    history_.striker_energy_J.back() = history_.kinetic_energy_J.back() =
        history_.external_work_J.back() = striker.kinetic_half();
    next_row_ = setup_.numerics.row_interval_s;
}

void DropRun::start_row() {
    const BodyDynamics& dynamics = model_.dynamics();
    const StrikerMotion& striker = model_.striker();
    const StrikerPlace& place = striker.place();
    const double span = model_.half_time() - at_row_.half_time;
    const Vec3 force = (striker.impulse() - at_row_.contact) / span;
    const double torque = (striker.turning_impulse() - at_row_.turning) / span;
    const double inertia = striker.body().inertia;
    for (const DropHistoryField& field : drop_history_fields())
        (history_.*field.member).push_back(0.0);
    history_.time_s.back() = dynamics.time();
    history_.height_m.back() = model_.lowest();
    history_.depth_m.back() = model_.depth();
    history_.speed_m_per_s.back() = speed();
    history_.contact_force_N.back() = force.z();
    history_.support_force_N.back() = (model_.support_impulse() - at_row_.support) / span;
    history_.acceleration_m_per_s2.back() = force.z() / striker.body().mass;
    history_.slide_m.back() =
        place.centre.x() - 0.5 * box(setup_.pad.mesh).x() - setup_.striker.offset_x_m;
    history_.slide_speed_m_per_s.back() = place.velocity.x();
    history_.side_force_N.back() = force.x();
    history_.turn_rad.back() = place.turn;
    history_.turn_rate_rad_per_s.back() = place.spin;
    history_.turn_acceleration_rad_per_s2.back() = inertia > 0.0 ? torque / inertia : 0.0;
    history_.striker_energy_J.back() = striker.kinetic_half();
    history_.penetration_share.back() = dynamics.penetration_share();
    history_.step_s.back() = dynamics.last_step();
    at_row_ = {.half_time = model_.half_time(),
               .support = model_.support_impulse(),
               .turning = striker.turning_impulse(),
               .contact = striker.impulse()};
    worst_momentum_ = std::max(worst_momentum_, model_.momentum_defect());
    waiting_ = true;
    next_row_ += setup_.numerics.row_interval_s;
}

void DropRun::complete_row() {
    const EnergyLedger& ledger = model_.dynamics().ledger();
    history_.kinetic_energy_J.back() = ledger.kinetic;
    history_.stored_energy_J.back() = ledger.stored;
    history_.viscous_energy_J.back() = ledger.viscous;
    history_.contact_energy_J.back() = ledger.contact;
    history_.friction_energy_J.back() = ledger.friction;
    history_.external_work_J.back() = ledger.external;
    waiting_ = false;
}

/// A last row that never got its energies is not a row.
void DropRun::drop_waiting_row() {
    if (waiting_)
        for (const DropHistoryField& field : drop_history_fields())
            (history_.*field.member).pop_back();
    waiting_ = false;
}

void DropRun::note_turn() {
    turned_ = true;
    const std::string note =
        stretch_note(setup_.pad, model_.depth() / model_.height(), model_.dynamics());
    if (note.empty())
        return;
    notes_.push_back(note);
    hooks_.log.write(LogLevel::Warning, "{}", note);
}

void DropRun::take_frame() {
    const BodyDynamics& dynamics = model_.dynamics();
    CrushFrame frame{.nominal_strain = model_.depth() / model_.height(), .time_s = dynamics.time()};
    for (const NodePose& p : dynamics.motion().poses())
        frame.positions.emplace_back(p.x, p.y, p.z);
    const Body& body = dynamics.body();
    if (body.beams() != nullptr) {
        body.beams()->element_fields(dynamics.motion().poses(), dynamics.box().lengths(),
                                     frame.element_stored_energy_J, frame.element_axial_force_N);
    } else {
        body.solid()->element_fields(frame.element_stored_energy_J);
        body.solid()->place_copies_of(frame.positions, dynamics.box().lengths());
    }
    frames_.push_back(std::move(frame));
    // How long a drop takes is not known before: at twice the number every other frame goes.
    if (static_cast<Index>(frames_.size()) > 2 * setup_.pad.numerics.frames) {
        std::vector<CrushFrame> kept;
        for (std::size_t i = 0; i < frames_.size(); i += 2)
            kept.push_back(std::move(frames_[i]));
        frames_ = std::move(kept);
        frame_interval_ *= 2.0;
    }
    next_frame_ = frames_.back().time_s + frame_interval_;
}

void DropRun::report_progress() const {
    if (!hooks_.progress)
        return;
    const double first = history_.speed_m_per_s.front();
    const double gone = std::clamp(1.0 - speed() / first, 0.0, 2.0);
    hooks_.progress({.time_s = model_.dynamics().time(),
                     .depth_m = model_.depth(),
                     .speed_m_per_s = speed(),
                     .share_done = 0.5 * gone, // a guess: most strikers come back slower
                     .steps = model_.dynamics().steps(),
                     .step_s = model_.dynamics().last_step()});
}

void DropRun::judge(DropRecord& record) {
    drop_waiting_row();
    const DropHistory& h = history_;
    const CrushLimits& limits = setup_.pad.limits;
    double largest = 0.0, closure = 0.0;
    for (std::size_t i = 0; i < h.time_s.size(); ++i)
        closure = std::max(closure, EnergyLedger{.kinetic = h.kinetic_energy_J[i],
                                                 .stored = h.stored_energy_J[i],
                                                 .viscous = h.viscous_energy_J[i],
                                                 .contact = h.contact_energy_J[i],
                                                 .friction = h.friction_energy_J[i],
                                                 .external = h.external_work_J[i]}
                                        .closure(largest));
    const auto guard = [&](const char* name, double value, double limit) {
        record.guards.push_back(
            {.name = name, .value = value, .limit = limit, .met = value <= limit});
    };
    guard("energy_closure", closure, limits.energy_closure);
    guard("momentum_balance", worst_momentum_, momentum_limit);
    guard("penetration", deepest_penetration_, limits.penetration);
    // A striker that still goes down has not shown its peak.
    guard("still_falling", std::max(0.0, h.speed_m_per_s.back() / h.speed_m_per_s.front()), 0.0);

    filter_acceleration(history_, setup_.numerics.row_interval_s, setup_.numerics.channel_class_Hz);
    record.traits =
        drop_traits(history_, setup_.striker, model_.height(), record.end == DropEnd::Left);
    record.past_densification =
        past_densification(history_, record.traits, setup_.striker.mass_kg, model_.height());
    record.history = std::move(history_);
    record.frames = std::move(frames_);
    record.notes = notes_;
    record.striker_mass_kg = setup_.striker.mass_kg;
    record.gross_area_m2 = model_.gross_area();
    record.height_m = model_.height();
    record.pad_mass_kg = model_.pad_mass();
    record.solid_density_kg_per_m3 = setup_.pad.polymer.density_kg_per_m3;
    record.relative_density = model_.pad_mass() / record.solid_density_kg_per_m3 /
                              (model_.gross_area() * model_.height());
    record.channel_class_Hz = setup_.numerics.channel_class_Hz;
    record.stable_step_s = model_.free_step();
    record.added_inertia_share = model_.added_inertia();
    record.steps = model_.dynamics().steps();
    record.elements = static_cast<Index>(n_elements(setup_.pad.mesh));
    record.nodes = static_cast<Index>(nodes(setup_.pad.mesh).size());
}

DropRecord run_drop(const DropSetup& setup, const DropHooks& hooks) {
    return DropRun(setup, hooks).finish();
}

} // namespace cellgrade
