// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/colour.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/drop_text.hpp"
#include "solver/cli/progress.hpp"
#include "solver/cli/stop_signal.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/crush/drop_run.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/report/drop_plot.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/drop_file.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/json.hpp"
#include "solver/results/vtkhdf.hpp"

#include <chrono>
#include <memory>
#include <optional>
#include <string>

namespace cellgrade {

namespace {

struct DropOptions {
    std::string study;
    std::string output, csv, frames, svg;
    std::string against; ///< grade table
    std::optional<ModelKind> model;
    bool dry_run = false;
};

/// Pad and striker of a case; of a mass that strikes a larger endless pad the cells' own share.
DropSetup drop_setup(const StudyCase& c) {
    const StrikerChoice& choice = *c.study.striker;
    DropSetup drop{.pad = c.setup, .striker = choice.striker, .numerics = choice.numerics};
    if (!choice.loaded_area_m2)
        return drop;
    const SpecimenMesh& mesh = c.setup.mesh;
    if (!periodic(mesh)[0] || !periodic(mesh)[1])
        throw Error(Fault::Input,
                    "is for an endless pad (specimen.sides = \"periodic\"), of which only a few "
                    "cells are modelled; a finite pad is struck by all of the mass",
                    {.file = c.study.path.string(), .key = "striker.loaded_area_mm2"});
    drop.striker.mass_kg *= box(mesh).x() * box(mesh).y() / *choice.loaded_area_m2;
    return drop;
}

/// Layers of cells of a graded pad, the struck side first.
std::vector<PadLayer> layers_of(const SpecimenChoice& specimen) {
    const std::vector<double>& densities = specimen.layer_relative_densities;
    std::vector<PadLayer> layers;
    for (auto density = densities.rbegin(); density != densities.rend(); ++density)
        layers.push_back({*density, 1.0 / static_cast<double>(densities.size())});
    return layers;
}

struct DropOutcome {
    DropRecord record;
    DropInjury injury;
    std::optional<DropAgainstTable> against;
    double wall_time_s = 0.0;
};

DropHooks hooks_for(const Session& session, Progress& progress) {
    DropHooks hooks;
    hooks.progress = [&progress](const DropProgress& p) {
        progress.update(p.share_done,
                        fmt::format("{:.2f} ms, {:.2f} mm deep at {:.3g} m/s, step {:.2g} us",
                                    p.time_s / units::ms, p.depth_m / units::mm, p.speed_m_per_s,
                                    1e6 * p.step_s));
    };
    hooks.stop = [] { return stop_was_asked(); };
    hooks.log = session.log();
    return hooks;
}

DropOutcome run_drop_case(const StudyCase& c, const DropSetup& drop, const DropHooks& hooks) {
    const auto start = std::chrono::steady_clock::now();
    DropOutcome outcome;
    DropRecord& record = outcome.record;
    record = run_drop(drop, hooks);
    record.print = c.print;
    record.notes.insert(record.notes.begin(), c.print_notes.begin(), c.print_notes.end());
    if (const std::string warning = beam_warning(c); !warning.empty())
        record.notes.insert(record.notes.begin(), warning);
    for (std::string& note : drop_notes(record, drop.striker))
        record.notes.push_back(std::move(note));
    outcome.injury = drop_injury(record);
    outcome.wall_time_s =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    return outcome;
}

void write_files(const Session& session,
                 const DropOptions& options,
                 const StudyCase& c,
                 const DropOutcome& o,
                 const RunInfo& run) {
    const DropRecord& record = o.record;
    if (!options.output.empty()) {
        DropResult result{record, o.injury, c.setup.mesh, provenance_of(session, c)};
        result.provenance.limits = record.guards;
        result.provenance.run = run;
        write_drop_file(options.output, result);
    }
    if (!options.csv.empty())
        publish_text(options.csv, drop_csv(record.history, {drop_verdict(record), caution_text()}));
    if (!options.frames.empty() && !record.frames.empty())
        write_vtkhdf_frames(options.frames, c.setup.mesh, record.frames);
    if (!options.svg.empty() && record.history.time_s.size() > 1)
        publish_text(options.svg, drop_plot_svg(c.study.name, c.study.about, record));
}

std::string run_lines(const DropOutcome& o) {
    const DropRecord& r = o.record;
    const double work = static_cast<double>(r.elements) * static_cast<double>(r.steps);
    std::string text =
        fmt::format("run       {} steps in {:.3g} s, {:.3g} million element-steps/s\n", r.steps,
                    o.wall_time_s, o.wall_time_s > 0.0 ? 1e-6 * work / o.wall_time_s : 0.0);
    text += fmt::format("end       {}\n", drop_end_name(r.end));
    for (const std::string& note : r.notes)
        text += fmt::format("note      {}\n", note);
    return text;
}

int finish(const Session& session,
           const DropOptions& options,
           const DropOutcome& o,
           const DropStriker& striker) {
    const std::string verdict = drop_verdict(o.record);
    const DropAgainstTable* const against = o.against ? &*o.against : nullptr;
    if (session.json)
        print(to_json(o.record, o.injury, against) + "\n");
    else
        print(run_lines(o) + "\n" + drop_pulse_text(o.record) + "\n" +
              drop_traits_text(o.record, o.injury, striker) + "\n" +
              (against != nullptr ? against_text(*against, options.against) + "\n" : "") +
              guards_text(o.record.guards) + "\n" +
              toned(verdict, o.record.trusted() ? Tone::Good : Tone::Bad) + "\n" + caution_text() +
              "\n");
    if (o.record.trusted())
        return exit_code::done;
    if (o.record.end == DropEnd::Interrupted)
        return stop_signal_exit_code();
    std::fprintf(stderr, "cellgrade: %s\n", verdict.c_str());
    return exit_code::not_trusted;
}

int run_drop_command(const Session& session, const DropOptions& options) {
    StudyConfig study = read_study(options.study, StudyUse::Drop);
    if (options.model)
        study.model = options.model;
    if (!options.frames.empty() && study.numerics.frames == 0)
        study.numerics.frames = default_frames;
    const StudyCase c = prepare_case(study);
    const DropSetup drop = drop_setup(c);
    const std::string lines = specimen_line(c) + striker_line(drop.striker);
    if (options.dry_run) {
        print("# " + specimen_line(c) + "# " + striker_line(drop.striker) + c.resolved);
        return exit_code::done;
    }
    if (!session.json)
        print(lines);
    for (const std::string* file : {&options.output, &options.csv, &options.frames, &options.svg})
        require_writable_folder(*file);
    std::optional<GradeTable> table;
    if (!options.against.empty()) {
        table = read_grade_table(options.against);
        check_comparable(*table, c.grade, layers_of(c.study.specimen), drop.striker);
    }
    const int threads = threads_for(session, static_cast<Index>(n_elements(c.setup.mesh)));
    use_threads(threads);
    catch_stop_signals();
    const std::string start = utc_now();
    DropOutcome outcome;
    {
        Progress progress("drop", !session.quiet);
        outcome = run_drop_case(c, drop, hooks_for(session, progress));
    }
    if (table)
        outcome.against = drop_against_table(*table, c.grade, layers_of(c.study.specimen),
                                             outcome.record, drop.striker);
    write_files(session, options, c, outcome, {start, outcome.wall_time_s, threads});
    return finish(session, options, outcome, drop.striker);
}

} // namespace

void add_drop_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "drop", "Drop a rigid striker on a pad of lattice, computed in full.",
        "  cellgrade drop examples/17_drop/study.toml -o drop.h5 --csv drop.csv --svg drop.svg\n"
        "  cellgrade drop examples/17_drop/study.toml --dry-run\n");
    auto o = std::make_shared<DropOptions>();
    command
        .add_option("STUDY.toml", o->study, "study file with a [striker], see examples/README.md")
        ->required();
    add_result_file(command, "-o,--output", o->output, "everything, HDF5");
    add_result_file(command, "--csv", o->csv, "striker, forces and energies over time");
    add_result_file(command, "--frames", o->frames, "saved shapes for a viewer, .vtkhdf");
    add_result_file(command, "--svg", o->svg, "acceleration and force as a picture");
    add_model_option(command, o->model, "Run");
    command
        .add_option("--against", o->against,
                    "grade table of `cellgrade table`: answers the same blow, beside the drop")
        ->type_name("GRADES.h5")
        ->group("Run");
    command
        .add_flag("--dry-run", o->dry_run, "check the input, print it with every default, and stop")
        ->group("Run");
    command.callback([&session, o] {
        session.action = [&session, o] { return run_drop_command(session, *o); };
    });
}

} // namespace cellgrade
