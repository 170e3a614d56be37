// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_run.hpp"

#include "solver/core/blob_file.hpp"
#include "solver/core/error.hpp"
#include "solver/crush/quasi_static.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double window_strain = 0.02;
constexpr double watched_from_strain = 0.05; // common practice, no source: start-up is left out
constexpr int most_halvings = 5;
constexpr Index rows_per_judged_window = 10;

} // namespace

CrushRun::CrushRun(const CrushSetup& setup, const CrushHooks& hooks)
    : setup_(setup), hooks_(hooks), model_(setup),
      recorder_(model_, 1.0 / setup.numerics.rows_per_strain) {
    first_speed_ = quasi_static()
                       ? first_solver_speed(setup, model_.height(), model_.waves().slow_period)
                       : *setup.loading.speed_m_per_s;
    if (quasi_static())
        model_.dynamics().set_damping(2.0 * setup.numerics.damping_ratio * 2.0 * M_PI /
                                      model_.waves().slow_period);
    if (setup.numerics.frames > 0)
        take_frame();
    head_for(first_speed_);
    resume_from_checkpoint();
}

double CrushRun::ramp_time() const {
    // One slow period, but no more than the way of 2 % strain: the quintic covers half of v T.
    const double way = 0.02 * model_.height();
    const double longest = 2.0 * way / std::max(course_.speed, 1e-300);
    return quasi_static() ? std::min(model_.waves().slow_period, longest) : 0.25 * longest;
}

void CrushRun::head_for(double speed) {
    course_.speed = std::abs(speed);
    course_.from = model_.drive().speed(model_.dynamics().time());
    course_.to = speed;
    course_.start = model_.dynamics().time();
    course_.ramp = ramp_time();
    model_.drive().head_for(course_.to, course_.start, course_.ramp);
}

CrushRecord CrushRun::finish() {
    CrushRecord record;
    try {
        while (course_.leg != Leg::Done && !interrupted_) {
            step();
            follow_path();
        }
        record.end = interrupted_            ? CrushEnd::Interrupted
                     : setup_.loading.unload ? CrushEnd::Unloaded
                     : course_.displacement < setup_.loading.to_strain * model_.height()
                         ? CrushEnd::StressRise
                         : CrushEnd::TargetStrain;
    } catch (const Error& error) {
        if (error.fault() != Fault::Run)
            throw;
        record.end = CrushEnd::Failed;
        record.failure = error.what();
    }
    judge(record);
    if (!hooks_.checkpoint.empty() && !interrupted_)
        remove_blob(hooks_.checkpoint);
    return record;
}

void CrushRun::step() {
    BeamDynamics& dynamics = model_.dynamics();
    if (quasi_static()) {
        const double speed = model_.drive().speed(dynamics.time());
        dynamics.set_clock_ratio(std::abs(speed) / model_.height() /
                                 *setup_.loading.strain_rate_per_s);
        dynamics.set_damping_flow(
            Vec3(0.0, 0.0, -speed / (model_.height() - course_.displacement)));
    }
    const bool due = recorder_.row_due(course_.displacement);
    if (due)
        dynamics.want_energies();
    const double before = dynamics.time();
    dynamics.step();
    const double half = 0.5 * (before + dynamics.time());
    const double move = dynamics.last_step() * model_.drive().speed(half);
    course_.displacement += move;
    course_.travelled += std::abs(move);
    recorder_.after_step(course_.displacement, due);
    if (due) {
        check_limits();
        report_progress();
    }
}

void CrushRun::check_limits() const {
    const double strain = course_.displacement / model_.height();
    const double penetration = model_.dynamics().penetration_share();
    if (penetration > setup_.limits.penetration)
        throw run_error(
            "contact penetrates {:.1f} % of the strut radius at {:.1f} % strain; the limit "
            "is {:.0f} %; stop at a lower strain or use shorter elements",
            100.0 * penetration, 100.0 * strain, 100.0 * setup_.limits.penetration);
    const double floor = 1e-3 * model_.free_step();
    if (model_.dynamics().last_step() < floor)
        throw run_error("the stable step fell below a thousandth of its start at {:.1f} % strain",
                        100.0 * strain);
}

void CrushRun::follow_path() {
    if (setup_.numerics.frames > 0 && course_.travelled >= course_.next_frame)
        take_frame();
    if (quasi_static())
        watch_inertia();
    turn_or_stop();
    if (hooks_.stop && model_.dynamics().steps() % 256 == 0 && hooks_.stop())
        interrupted_ = true;
    if (!hooks_.checkpoint.empty() && (course_.travelled >= next_checkpoint_ || interrupted_)) {
        save_checkpoint();
        next_checkpoint_ = course_.travelled + hooks_.checkpoint_every_strain * model_.height();
    }
}

bool CrushRun::loading_ended() const {
    const double strain = course_.displacement / model_.height();
    if (strain >= setup_.loading.to_strain)
        return true;
    if (!setup_.loading.to_stress_ratio || strain < 0.42)
        return false;
    const CrushHistory& h = recorder_.history();
    double sum = 0.0;
    int count = 0;
    for (Index i = 0; i < recorder_.rows(); ++i) {
        const double e = h.displacement_m[i] / model_.height();
        if (e >= 0.2 && e <= 0.4) {
            sum += recorder_.nominal_stress(i);
            ++count;
        }
    }
    return count > 0 && recorder_.nominal_stress(recorder_.rows() - 1) >
                            *setup_.loading.to_stress_ratio * sum / count;
}

void CrushRun::turn_or_stop() {
    const double force = 0.5 * (model_.force_top() + model_.force_bottom());
    if (course_.leg == Leg::Loading) {
        course_.peak_force = std::max(course_.peak_force, force);
        if (!loading_ended())
            return;
        if (!setup_.loading.unload) {
            course_.leg = Leg::Done;
            return;
        }
        course_.leg = Leg::Unloading;
        course_.turn_row = recorder_.rows();
        head_for(-course_.speed);
        return;
    }
    const Index last = recorder_.rows() - 1;
    const double mean_force = recorder_.history().force_top_N[last];
    const bool going_back = model_.drive().speed(model_.dynamics().time()) < 0.0;
    if (going_back && last > static_cast<Index>(course_.turn_row) &&
        (mean_force < 2e-3 * course_.peak_force || course_.displacement <= 0.0))
        course_.leg = Leg::Done;
}

void CrushRun::watch_inertia() {
    const Index rows = recorder_.rows();
    const Index per_window =
        static_cast<Index>(std::lround(window_strain * setup_.numerics.rows_per_strain));
    const Index first = static_cast<Index>(course_.window_row);
    if (rows - first < per_window + 1 && !windows_.empty())
        return;
    if (!windows_.empty()) {
        // The last row still waits for its energies: the window ends before it.
        const InertiaWindow now = inertia_window(recorder_.history(), first, rows - 1);
        const double worst = std::max(now.kinetic_share / setup_.limits.kinetic_share,
                                      now.platen_balance / setup_.limits.platen_balance);
        const bool watched =
            recorder_.history().displacement_m[first] >= watched_from_strain * model_.height();
        if (watched && worst > 0.7 && course_.halvings < most_halvings) {
            slow_down();
            return;
        }
        course_.calm_windows = worst < 0.125 ? course_.calm_windows + 1.0 : 0.0;
        if (course_.calm_windows >= 5.0 && course_.speed < 0.75 * first_speed_) {
            course_.calm_windows = 0.0;
            head_for(std::copysign(2.0 * course_.speed, model_.drive().target()));
        }
    }
    course_.window_row = std::max(0, rows - 1);
    windows_.push_back(snapshot());
    if (windows_.size() > 2)
        windows_.erase(windows_.begin());
}

void CrushRun::slow_down() {
    const double halvings = course_.halvings + 1.0;
    const double strain = course_.displacement / model_.height();
    const double speed = 0.5 * course_.speed;
    go_back(Snapshot(windows_.front()));
    windows_.erase(windows_.begin() + 1, windows_.end());
    course_.halvings = halvings;
    course_.calm_windows = 0.0;
    head_for(std::copysign(speed, model_.drive().target()));
    notes_.push_back(
        fmt::format("inertia out of bounds at {:.1f} % strain: went back to {:.1f} % and "
                    "halved the platen speed to {:.4g} m/s",
                    100.0 * strain, 100.0 * course_.displacement / model_.height(), speed));
    hooks_.log.write(LogLevel::Decision, "{}", notes_.back());
    windows_.front() = snapshot();
}

CrushRun::Snapshot CrushRun::snapshot() const {
    return {.dynamics = model_.dynamics().save(),
            .recorder = recorder_.save(),
            .course = course_,
            .frames = frames_.size()};
}

void CrushRun::go_back(const Snapshot& s) {
    model_.dynamics().restore(s.dynamics);
    recorder_.restore(s.recorder);
    course_ = s.course;
    frames_.resize(s.frames);
    PlatenDrive drive;
    drive.head_for(course_.from, 0.0, 0.0);
    drive.head_for(course_.to, course_.start, course_.ramp);
    model_.drive() = drive;
}

void CrushRun::take_frame() {
    CrushFrame frame{.nominal_strain = course_.displacement / model_.height(),
                     .time_s = model_.dynamics().material_time()};
    for (const NodePose& p : model_.dynamics().motion().poses())
        frame.positions.emplace_back(p.x, p.y, p.z);
    model_.dynamics().body().element_fields(
        model_.dynamics().motion().poses(), model_.dynamics().box().lengths(),
        frame.element_stored_energy_J, frame.element_axial_force_N);
    frames_.push_back(std::move(frame));
    const double way = setup_.loading.to_strain * model_.height() * (setup_.loading.unload ? 2 : 1);
    course_.next_frame =
        way * static_cast<double>(frames_.size()) / std::max(1, setup_.numerics.frames - 1);
}

void CrushRun::report_progress() {
    if (!hooks_.progress)
        return;
    const double way = setup_.loading.to_strain * model_.height() * (setup_.loading.unload ? 2 : 1);
    hooks_.progress({.nominal_strain = course_.displacement / model_.height(),
                     .share_done = std::min(1.0, course_.travelled / way),
                     .steps = model_.dynamics().steps(),
                     .step_s = model_.dynamics().last_step(),
                     .nominal_stress_Pa = recorder_.nominal_stress(recorder_.rows() - 1)});
}

void CrushRun::judge(CrushRecord& record) const {
    CrushHistory history = recorder_.history();
    // A last row that never got its energies is not a row.
    if (recorder_.save().waiting != 0.0)
        for_each_column(history, [](const char*, std::vector<double>& c) { c.pop_back(); });
    const CrushLimits& limits = setup_.limits;
    const InertiaWindow inertia =
        worst_inertia(history, model_.height(), watched_from_strain, rows_per_judged_window);
    const auto guard = [&](const char* name, double value, double limit, bool enforced) {
        record.guards.push_back({.name = name,
                                 .value = value,
                                 .limit = limit,
                                 .met = value <= limit,
                                 .enforced = enforced});
    };
    guard("energy_closure", recorder_.largest_closure(), limits.energy_closure, true);
    guard("penetration", recorder_.deepest(), limits.penetration, true);
    guard("kinetic_share", inertia.kinetic_share, limits.kinetic_share, quasi_static());
    guard("platen_balance", inertia.platen_balance, limits.platen_balance, quasi_static());

    record.turn_row = course_.turn_row >= 0.0 ? static_cast<Index>(course_.turn_row)
                                              : static_cast<Index>(history.time_s.size());
    record.history = std::move(history);
    record.frames = frames_;
    record.notes = notes_;
    record.gross_area_m2 = model_.gross_area();
    record.height_m = model_.height();
    record.mass_kg = model_.mass();
    record.solid_density_kg_per_m3 = setup_.polymer.density_kg_per_m3;
    record.solid_volume_m3 = model_.mass() / setup_.polymer.density_kg_per_m3;
    record.relative_density = record.solid_volume_m3 / (model_.gross_area() * model_.height());
    record.clock_ratio =
        quasi_static() ? first_speed_ / model_.height() / *setup_.loading.strain_rate_per_s : 1.0;
    record.added_inertia_share = model_.added_rotary();
    record.stable_step_s = model_.free_step();
    record.steps = model_.dynamics().steps();
    record.elements = static_cast<Index>(setup_.mesh.elements.size());
    record.nodes = static_cast<Index>(setup_.mesh.nodes.size());
}

} // namespace cellgrade
