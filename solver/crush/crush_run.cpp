// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_run.hpp"

#include "solver/core/blob_file.hpp"
#include "solver/core/error.hpp"
#include "solver/crush/quasi_static.hpp"
#include "solver/crush/setup_notes.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr int most_halvings = 6;        // net, of the platen speed
constexpr int most_goings_back = 40;    // over a whole run
constexpr double force_gone = 5e-4;     // of the peak; the traits take 1e-3 as free
constexpr double restart_strain = 0.12; // a run that is too fast this early begins anew

} // namespace

CrushRun::CrushRun(const CrushSetup& setup, const CrushHooks& hooks)
    : setup_(setup), hooks_(hooks), model_(setup),
      recorder_(model_, 1.0 / setup.numerics.rows_per_strain) {
    first_speed_ = quasi_static()
                       ? first_solver_speed(setup, model_.height(), model_.waves().slow_period)
                       : *setup.loading.speed_m_per_s;
    set_slow_period(model_.waves().slow_period);
    period_felt_ = setup.numerics.solver_speed_m_per_s.has_value();
    if (setup.numerics.frames > 0)
        take_frame();
    note_doubts();
    tried_speed_ = first_speed_;
    if (setup.loading.to_strain > 0.0)
        head_for(first_speed_);
    else
        start_shear();
    resume_from_checkpoint();
}

void CrushRun::set_slow_period(double period) {
    slow_period_ = period;
    if (quasi_static())
        model_.dynamics().set_damping(2.0 * setup_.numerics.damping_ratio * 2.0 * M_PI / period);
}

double CrushRun::ramp_time() const {
    // One slow period, but no more than the way of 2 % strain: the quintic covers half of v T.
    const double way = 0.02 * model_.height();
    const double longest = 2.0 * way / std::max(course_.speed, 1e-300);
    return quasi_static() ? std::min(slow_period_, longest) : 0.25 * longest;
}

void CrushRun::head_for(double speed) {
    const bool shearing = course_.leg == Leg::Shearing;
    const double angle = setup_.loading.path_angle;
    if (course_.leg != Leg::Stopping)
        course_.speed = std::abs(speed);
    course_.start = model_.dynamics().time();
    course_.from = model_.path().down(course_.start);
    course_.from_side = model_.path().side(course_.start);
    course_.to = shearing ? 0.0 : speed * std::cos(angle);
    course_.to_side = shearing ? speed : speed * std::sin(angle);
    course_.ramp = ramp_time();
    model_.path().head_for(course_.to, course_.to_side, course_.start, course_.ramp);
}

/// Compression ends so early that the ramp comes to rest at to_strain: the quintic covers half of
/// v T.
bool CrushRun::stop_is_due() const {
    const double way = 0.5 * model_.path().down(model_.dynamics().time()) * ramp_time();
    return course_.displacement + way >= setup_.loading.to_strain * model_.height();
}

void CrushRun::start_shear() {
    course_.leg = Leg::Shearing;
    course_.shear_row = recorder_.rows();
    head_for(course_.speed > 0.0 ? course_.speed : first_speed_);
}

/// "12.5 % strain", with the shear where there is some.
std::string CrushRun::place_text(const Course& course) const {
    std::string text =
        fmt::format("{:.1f} % strain", 100.0 * course.displacement / model_.height());
    if (course.slide != 0.0)
        text += fmt::format(" and {:.1f} % shear", 100.0 * course.slide / model_.height());
    return text;
}

double CrushRun::whole_way() const {
    const CrushLoading& l = setup_.loading;
    return (l.to_strain / std::cos(l.path_angle) * (l.unload ? 2 : 1) + l.shear_to_strain) *
           model_.height();
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
                     : course_.displacement < setup_.loading.to_strain * model_.height() &&
                             course_.shear_row < 0.0
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
    BodyDynamics& dynamics = model_.dynamics();
    if (quasi_static()) {
        const PlatenPath& path = model_.path();
        const double now = dynamics.time();
        dynamics.set_clock_ratio(path.speed(now) / model_.height() /
                                 *setup_.loading.strain_rate_per_s);
        const BoxMotion& box = dynamics.box();
        const double height = model_.height() - course_.displacement;
        Vec3 flow = box.velocity().cwiseQuotient(box.lengths());
        flow.z() = -path.down(now) / height;
        dynamics.set_damping_flow(flow, path.side(now) / height);
    }
    const bool due = recorder_.row_due(course_.displacement, course_.slide);
    if (due)
        dynamics.want_energies();
    const double before = dynamics.time();
    dynamics.step();
    const double half = 0.5 * (before + dynamics.time());
    const double dt = dynamics.last_step();
    course_.displacement += dt * model_.path().down(half);
    course_.slide += dt * model_.path().side(half);
    course_.travelled += dt * model_.path().speed(half);
    recorder_.after_step(course_.displacement, course_.slide, due);
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
            "contact penetrates {:.1f} % of the {} at {:.1f} % strain; the limit is {:.0f} %; stop "
            "at a lower strain or use smaller elements",
            100.0 * penetration, beams(setup_.mesh) != nullptr ? "strut radius" : "element size",
            100.0 * strain, 100.0 * setup_.limits.penetration);
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
    if (course_.leg == Leg::Stopping) {
        if (model_.dynamics().time() >= course_.start + course_.ramp)
            start_shear();
        return;
    }
    if (course_.leg == Leg::Shearing) {
        if (course_.slide >= setup_.loading.shear_to_strain * model_.height()) {
            note_stretches();
            course_.leg = Leg::Done;
        }
        return;
    }
    if (course_.leg == Leg::Loading && setup_.loading.shear_to_strain > 0.0) {
        if (stop_is_due()) {
            course_.leg = Leg::Stopping;
            head_for(0.0);
        }
        return;
    }
    // Rows and not single steps: between two steps the force on glued ends swings far wider.
    const Index last = recorder_.rows() - 1;
    const double mean_force = last < 0 ? 0.0 : recorder_.history().force_top_N[last];
    if (course_.leg == Leg::Loading) {
        course_.peak_force = std::max(course_.peak_force, mean_force);
        if (!loading_ended())
            return;
        note_stretches();
        if (!setup_.loading.unload) {
            course_.leg = Leg::Done;
            return;
        }
        course_.leg = Leg::Unloading;
        course_.turn_row = recorder_.rows();
        head_for(-course_.speed);
        return;
    }
    const bool going_back = model_.path().down(model_.dynamics().time()) < 0.0;
    if (going_back && last > static_cast<Index>(course_.turn_row) &&
        (mean_force < force_gone * course_.peak_force || course_.displacement <= 0.0) &&
        recorder_.save().waiting == 0.0) // else the record would end before that row
        course_.leg = Leg::Done;
}

Index CrushRun::rows_per_window() const {
    return static_cast<Index>(std::lround(inertia_window_strain * setup_.numerics.rows_per_strain));
}

void CrushRun::watch_inertia() {
    if (course_.leg == Leg::Stopping)
        return; // a pause of a few rows
    // The last row still waits for its energies.
    const Index whole_rows = std::max(0, recorder_.rows() - 1);
    const Index first = static_cast<Index>(course_.window_row);
    if (!windows_.empty() && whole_rows - first < rows_per_window())
        return;
    if (!windows_.empty() && begin_anew_slower(whole_rows))
        return;
    if (!windows_.empty()) {
        const InertiaWindow now = worst_inertia(recorder_.history(), model_.height(),
                                                rows_per_window(), first, whole_rows);
        const double worst = std::max(now.kinetic_share / setup_.limits.kinetic_share,
                                      now.platen_balance / setup_.limits.platen_balance);
        if (worst > 0.9 && may_slow_down()) {
            slow_down(worst);
            return;
        }
        course_.calm_windows = worst < 0.2 ? course_.calm_windows + 1.0 : 0.0;
        if (worst <= 0.9) {
            course_.stubborn = 0.0;
            course_.last_worst = 1e300;
        }
        if (course_.calm_windows >= course_.calm_needed && course_.speed < 0.75 * first_speed_) {
            course_.calm_windows = 0.0;
            course_.sped_up = 1.0;
            head_for(course_.leg == Leg::Unloading ? -2.0 * course_.speed : 2.0 * course_.speed);
        }
    }
    course_.window_row = whole_rows;
    windows_.push_back(snapshot());
    // The very first one is kept for a new beginning; of the others the last two.
    if (windows_.size() > 3)
        windows_.erase(windows_.begin() + 1);
}

/// Slow period by the stiffness of the second half of the first rows: mean force of both ends over
/// mean way. Inertia of a start that is too fast lets it err by a third, not by the factor of three
/// between bending cells of one density.
double CrushRun::felt_period(Index rows) const {
    const CrushHistory& h = recorder_.history();
    double force = 0.0, way = 0.0;
    for (Index i = rows / 2; i < rows; ++i) {
        force +=
            0.5 * std::hypot(h.force_top_N[i] + h.force_bottom_N[i],
                             h.slide_m[i] != 0.0 ? h.side_force_top_N[i] + h.side_force_bottom_N[i]
                                                 : 0.0);
        way += std::abs(h.displacement_m[i]) + std::abs(h.slide_m[i]);
    }
    const double stiffness =
        force / std::max(way, 1e-300); // K; E_bar = K h / A, rho_bar = m / (A h)
    return 4.0 * std::sqrt(model_.mass() / std::max(stiffness, 1e-300));
}

bool CrushRun::begin_anew_slower(Index rows) {
    if (period_felt_)
        return false;
    period_felt_ = true;
    constexpr double worth_it = 1.5, most = 8.0; // of the estimate; a dead start is no spring
    const double longer = std::min(felt_period(rows) / slow_period_, most);
    if (!(longer > worth_it))
        return false;
    go_back(Snapshot(windows_.front()));
    windows_.resize(1);
    set_slow_period(longer * slow_period_);
    tried_speed_ = first_speed_ / longer;
    head_for(tried_speed_);
    hooks_.log.write(LogLevel::Decision,
                     "the specimen is softer than estimated (slow period {:.3g} ms): begins anew "
                     "at {:.4g} m/s",
                     1e3 * slow_period_, tried_speed_);
    windows_.back() = snapshot();
    return true;
}

bool CrushRun::may_slow_down() const {
    return course_.goings_back < most_goings_back && course_.stubborn < 2.0 &&
           course_.speed > 1.5 * tried_speed_ / std::pow(2.0, most_halvings);
}

void CrushRun::slow_down(double worst) {
    const Course now = course_;
    const bool first_leg = course_.leg == Leg::Loading || setup_.loading.to_strain == 0.0;
    const bool early = first_leg && now.travelled < restart_strain * model_.height();
    const std::size_t to =
        early || windows_.size() < 2 ? 0 : std::max<std::size_t>(1, windows_.size() - 2);
    go_back(Snapshot(windows_[to]));
    windows_.resize(to + 1);
    course_.goings_back = now.goings_back + 1.0;
    course_.stubborn = worst > 0.75 * now.last_worst ? now.stubborn + 1.0 : 0.0;
    course_.last_worst = worst;
    // Only a speed-up that had to be taken back makes the next one wait longer.
    course_.calm_needed = std::min(now.sped_up * now.calm_needed + now.calm_needed, 64.0);
    course_.sped_up = 0.0;
    course_.calm_windows = 0.0;
    if (early)
        first_speed_ = 0.5 * now.speed; // the estimate of the start was too fast for this specimen
    head_for(course_.leg == Leg::Unloading ? -0.5 * now.speed : 0.5 * now.speed);
    notes_.push_back(fmt::format(
        "inertia out of bounds at {}: went back to {} and halved the platen speed to {:.4g} m/s",
        place_text(now), place_text(course_), 0.5 * now.speed));
    hooks_.log.write(LogLevel::Decision, "{}", notes_.back());
    windows_.back() = snapshot();
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
    PlatenPath path;
    path.head_for(course_.from, course_.from_side, 0.0, 0.0);
    path.head_for(course_.to, course_.to_side, course_.start, course_.ramp);
    model_.path() = path;
}

void CrushRun::take_frame() {
    CrushFrame frame{.nominal_strain = course_.displacement / model_.height(),
                     .time_s = model_.dynamics().material_time()};
    for (const NodePose& p : model_.dynamics().motion().poses())
        frame.positions.emplace_back(p.x, p.y, p.z);
    const Body& body = model_.dynamics().body();
    const Vec3& lengths = model_.dynamics().box().lengths();
    if (body.beams() != nullptr) {
        body.beams()->element_fields(model_.dynamics().motion().poses(), lengths,
                                     frame.element_stored_energy_J, frame.element_axial_force_N);
    } else {
        body.solid()->element_fields(frame.element_stored_energy_J);
        body.solid()->place_copies_of(frame.positions, lengths);
    }
    frames_.push_back(std::move(frame));
    course_.next_frame =
        whole_way() * static_cast<double>(frames_.size()) / std::max(1, setup_.numerics.frames - 1);
}

void CrushRun::report_progress() {
    if (!hooks_.progress)
        return;
    hooks_.progress({.nominal_strain = course_.displacement / model_.height(),
                     .share_done = std::min(1.0, course_.travelled / whole_way()),
                     .steps = model_.dynamics().steps(),
                     .step_s = model_.dynamics().last_step(),
                     .nominal_stress_Pa = recorder_.nominal_stress(recorder_.rows() - 1)});
}

void CrushRun::note_doubts() {
    const double rate = quasi_static() ? *setup_.loading.strain_rate_per_s
                                       : *setup_.loading.speed_m_per_s / model_.height();
    for (std::string& note : setup_notes(setup_, rate, model_.dynamics()))
        notes_.push_back(std::move(note));
    for (const std::string& note : notes_)
        hooks_.log.write(LogLevel::Warning, "{}", note);
}

// Once, at the deepest: what the polymer was stretched to, against what its card was measured for.
void CrushRun::note_stretches() {
    std::string note =
        stretch_note(setup_, course_.displacement / model_.height(), model_.dynamics());
    if (note.empty())
        return;
    notes_.push_back(std::move(note));
    hooks_.log.write(LogLevel::Warning, "{}", notes_.back());
}

void CrushRun::judge(CrushRecord& record) const {
    CrushHistory history = recorder_.history();
    // A last row that never got its energies is not a row.
    if (recorder_.save().waiting != 0.0)
        for_each_column(history, [](const char*, std::vector<double>& c) { c.pop_back(); });
    const CrushLimits& limits = setup_.limits;
    const InertiaWindow inertia = worst_inertia(history, model_.height(), rows_per_window(), 0,
                                                static_cast<Index>(history.time_s.size()));
    const auto guard = [&](const char* name, double value, double limit, bool enforced) {
        record.guards.push_back({.name = name,
                                 .value = value,
                                 .limit = limit,
                                 .met = value <= limit,
                                 .enforced = enforced});
    };
    guard("energy_closure", energy_closure(history, model_.height(), inertia_from_strain),
          limits.energy_closure, true);
    guard("penetration", recorder_.deepest(), limits.penetration, true);
    guard("kinetic_share", inertia.kinetic_share, limits.kinetic_share, quasi_static());
    guard("platen_balance", inertia.platen_balance, limits.platen_balance, quasi_static());

    record.turn_row = course_.turn_row >= 0.0 ? static_cast<Index>(course_.turn_row)
                                              : static_cast<Index>(history.time_s.size());
    record.shear_row = course_.shear_row >= 0.0 ? static_cast<Index>(course_.shear_row)
                                                : static_cast<Index>(history.time_s.size());
    record.sideways = moves_sideways(setup_.loading);
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
    record.added_inertia_share = model_.added_inertia();
    record.stable_step_s = model_.free_step();
    record.steps = model_.dynamics().steps();
    record.elements = static_cast<Index>(n_elements(setup_.mesh));
    record.nodes = static_cast<Index>(nodes(setup_.mesh).size());
}

} // namespace cellgrade
