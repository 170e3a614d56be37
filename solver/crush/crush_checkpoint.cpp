// SPDX-License-Identifier: Apache-2.0
#include "solver/core/blob_file.hpp"
#include "solver/core/error.hpp"
#include "solver/core/sha256.hpp"
#include "solver/crush/crush_run.hpp"
#include "solver/dynamics/dynamics_state.hpp"

#include <cstring>
#include <map>
#include <memory>
#include <sstream>

namespace cellgrade {

namespace {

constexpr const char* schema = "crush-state/9";
using Doubles = std::vector<double>;

/// Keeps the arrays alive until the file is written.
class Collected {
public:
    [[nodiscard]] ArraySink sink() {
        return {[this](const std::string& name, Doubles values) { add(name, std::move(values)); }};
    }
    void add(const std::string& name, Doubles values) {
        kept_.push_back(std::make_unique<Doubles>(std::move(values)));
        arrays_.push_back({name, std::span<const double>(*kept_.back())});
    }
    void add_text(const std::string& name, const std::string& text) {
        texts_.push_back(std::make_unique<std::string>(text));
        arrays_.push_back({name, std::string_view(*texts_.back())});
    }
    [[nodiscard]] const std::vector<BlobArray>& arrays() const { return arrays_; }

private:
    std::vector<std::unique_ptr<Doubles>> kept_;
    std::vector<std::unique_ptr<std::string>> texts_;
    std::vector<BlobArray> arrays_;
};

template <class Record>
Doubles as_doubles(const Record& record) {
    static_assert(sizeof(Record) % sizeof(double) == 0 && std::is_trivially_copyable_v<Record>);
    Doubles values(sizeof(Record) / sizeof(double));
    std::memcpy(values.data(), &record, sizeof(Record));
    return values;
}

template <class Record>
Record from_doubles(const Doubles& values, const std::string& name) {
    CELLGRADE_CHECK(values.size() * sizeof(double) == sizeof(Record),
                    "checkpoint array {} has {} numbers, {} are needed", name, values.size(),
                    sizeof(Record) / sizeof(double));
    Record record;
    std::memcpy(static_cast<void*>(&record), values.data(), sizeof(Record));
    return record;
}

/// Everything of the setup that decides the bits of the run, hashed.
std::string setup_digest(const CrushSetup& setup) {
    std::ostringstream text;
    text.precision(17);
    for (const Vec3& x : nodes(setup.mesh))
        text << x.x() << ' ' << x.y() << ' ' << x.z() << '\n';
    if (const BeamMesh* mesh = beams(setup.mesh))
        for (const BeamElement& e : mesh->elements)
            text << e.a << ' ' << e.b << ' ' << e.image_b.transpose() << ' ' << e.radius << ' '
                 << e.stiffness_factor << ' ' << e.mass_factor << '\n';
    if (const TetMesh* mesh = solid(setup.mesh))
        for (const TetNodes& tet : mesh->tets)
            for (const Index node : tet)
                text << node << ' ';
    text << box(setup.mesh).transpose();
    for (const bool axis : periodic(setup.mesh))
        text << ' ' << axis;
    text << card_text(setup.polymer) << static_cast<int>(setup.section) << ' '
         << static_cast<int>(setup.ends) << ' ' << static_cast<int>(setup.sides) << ' '
         << setup.platen_friction << ' ' << setup.strut_friction << ' ' << setup.self_contact
         << ' ';
    const CrushLoading& l = setup.loading;
    text << l.speed_m_per_s.value_or(-1) << ' ' << l.strain_rate_per_s.value_or(-1) << ' '
         << l.to_strain << ' ' << l.to_stress_ratio.value_or(-1) << ' ' << l.unload << ' '
         << l.shear_to_strain << ' ' << l.path_angle << ' ';
    const CrushNumerics& n = setup.numerics;
    text << n.step_safety << ' ' << n.move_cap << ' ' << n.contact_step_share << ' '
         << n.bulk_viscosity << ' ' << n.quadratic_viscosity << ' ' << n.damping_ratio << ' '
         << n.scale_rotary_inertia << ' ' << n.added_mass_share << ' ' << n.rows_per_strain << ' '
         << n.frames << ' ' << n.solver_speed_m_per_s.value_or(-1) << ' ' << n.speed_share << ' ';
    const CrushLimits& c = setup.limits;
    text << c.energy_closure << ' ' << c.kinetic_share << ' ' << c.platen_balance << ' '
         << c.penetration;
    return sha256_hex(text.str());
}

} // namespace

void CrushRun::save_checkpoint() const {
    Collected out;
    out.add_text("setup", setup_digest(setup_));
    const auto save_snapshot = [&](const Snapshot& s, const std::string& at) {
        save_state(s.dynamics, at, out.sink());
        out.add(at + "/recorder", as_doubles(s.recorder));
        out.add(at + "/course", as_doubles(s.course));
        out.add(at + "/frames", {static_cast<double>(s.frames)});
    };
    save_snapshot(snapshot(), "now");
    out.add("first_speed", {first_speed_, tried_speed_, slow_period_, period_felt_ ? 1.0 : 0.0});
    out.add("windows", {static_cast<double>(windows_.size())});
    for (std::size_t i = 0; i < windows_.size(); ++i)
        save_snapshot(windows_[i], "window" + std::to_string(i));
    CrushHistory history = recorder_.history();
    for_each_column(history, [&](const char* name, const Doubles& column) {
        out.add(std::string("history/") + name, column);
    });
    for (std::size_t i = 0; i < frames_.size(); ++i) {
        const CrushFrame& f = frames_[i];
        const std::string at = "frame" + std::to_string(i);
        Doubles x;
        for (const Vec3& p : f.positions)
            x.insert(x.end(), {p.x(), p.y(), p.z()});
        out.add(at + "/head", {f.nominal_strain, f.time_s});
        out.add(at + "/positions", std::move(x));
        out.add(at + "/stored", f.element_stored_energy_J);
        out.add(at + "/axial", f.element_axial_force_N);
    }
    std::string notes;
    for (const std::string& note : notes_)
        notes += note + '\n';
    out.add_text("notes", notes);
    save_blob(hooks_.checkpoint, schema, out.arrays());
}

void CrushRun::resume_from_checkpoint() {
    if (hooks_.checkpoint.empty() || !has_blob(hooks_.checkpoint))
        return;
    const Blob blob = load_blob(hooks_.checkpoint, schema);
    if (blob.text("setup") != setup_digest(setup_))
        throw Error(Fault::Input,
                    "belongs to a run with other input; remove it or give another checkpoint file",
                    {.file = hooks_.checkpoint.string()});
    const ArraySource source{[&](const std::string& name) { return blob.doubles(name); }};
    const auto load_snapshot = [&](const std::string& at) {
        return Snapshot{.dynamics = load_state(at, source),
                        .recorder =
                            from_doubles<CrushRecorder::State>(blob.doubles(at + "/recorder"), at),
                        .course = from_doubles<Course>(blob.doubles(at + "/course"), at),
                        .frames = static_cast<std::size_t>(blob.doubles(at + "/frames")[0])};
    };
    const Snapshot now = load_snapshot("now");
    first_speed_ = blob.doubles("first_speed")[0];
    tried_speed_ = blob.doubles("first_speed")[1];
    set_slow_period(blob.doubles("first_speed")[2]);
    period_felt_ = blob.doubles("first_speed")[3] != 0.0;
    windows_.clear();
    for (std::size_t i = 0; i < static_cast<std::size_t>(blob.doubles("windows")[0]); ++i)
        windows_.push_back(load_snapshot("window" + std::to_string(i)));
    for_each_column(recorder_.history(), [&](const char* name, Doubles& column) {
        column = blob.doubles(std::string("history/") + name);
    });
    frames_.clear();
    for (std::size_t i = 0; i < now.frames; ++i) {
        const std::string at = "frame" + std::to_string(i);
        const Doubles head = blob.doubles(at + "/head"), x = blob.doubles(at + "/positions");
        CrushFrame frame{.nominal_strain = head[0], .time_s = head[1]};
        for (std::size_t k = 0; k + 2 < x.size(); k += 3)
            frame.positions.emplace_back(x[k], x[k + 1], x[k + 2]);
        frame.element_stored_energy_J = blob.doubles(at + "/stored");
        frame.element_axial_force_N = blob.doubles(at + "/axial");
        frames_.push_back(std::move(frame));
    }
    std::istringstream notes(blob.text("notes"));
    notes_.clear();
    for (std::string line; std::getline(notes, line);)
        notes_.push_back(line);
    go_back(now);
    next_checkpoint_ = course_.travelled + hooks_.checkpoint_every_strain * model_.height();
    hooks_.log.write(LogLevel::Phase, "resumed at {:.1f} % strain from {}",
                     100.0 * course_.displacement / model_.height(), hooks_.checkpoint.string());
}

} // namespace cellgrade
