// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/colour.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/progress.hpp"
#include "solver/cli/stop_signal.hpp"
#include "solver/cli/text_plot.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/elements/thread_count.hpp"
#include "solver/report/curve_plot.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/json.hpp"
#include "solver/results/vtkhdf.hpp"

#include <cmath>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

struct CrushOptions {
    std::string study;
    std::string output, csv, history_csv, frames, svg, checkpoint;
    std::optional<ModelKind> model;
    bool dry_run = false;
};

std::string run_lines(const CrushOutcome& o) {
    const CrushRecord& r = o.record;
    const double work = static_cast<double>(r.elements) * static_cast<double>(r.steps);
    std::string text =
        fmt::format("run       {} steps in {:.3g} s, {:.3g} million element-steps/s\n", r.steps,
                    o.wall_time_s, o.wall_time_s > 0.0 ? 1e-6 * work / o.wall_time_s : 0.0);
    text += fmt::format("end       {}\n", crush_end_name(r.end));
    for (const std::string& note : r.notes)
        text += fmt::format("note      {}\n", note);
    return text;
}

CurvePlot curve_plot(const StudyCase& c, const CrushOutcome& o) {
    const GradeTable table{c.study.name, {grade_row(c, o)}};
    CurvePlot plot = curve_plot_of(table);
    plot.subtitle = c.study.about;
    return plot;
}

void write_files(const Session& session,
                 const CrushOptions& options,
                 const StudyCase& c,
                 const CrushOutcome& o,
                 const RunInfo& run) {
    const std::vector<std::string> comments{verdict_text(o.record), caution_text()};
    if (!options.output.empty()) {
        CrushResult result{o.record, o.curve, o.traits, c.setup.mesh, provenance_of(session, c)};
        result.provenance.limits = o.record.guards;
        result.provenance.run = run;
        write_crush_file(options.output, result);
    }
    if (!options.csv.empty())
        publish_text(options.csv, curve_csv(o.curve, comments));
    if (!options.history_csv.empty())
        publish_text(options.history_csv, history_csv(o.record.history, comments));
    if (!options.frames.empty() && !o.record.frames.empty())
        write_vtkhdf_frames(options.frames, c.setup.mesh, o.record.frames);
    if (!options.svg.empty() && o.curve.nominal_strain.size() > 1)
        publish_text(options.svg, curve_plot_svg(curve_plot(c, o)));
}

/// Crush traits, and shear traits where the platen went sideways; each block ends in a blank line.
std::string curve_text(const CrushOutcome& o) {
    std::string text;
    if (!o.record.sideways || !std::isnan(o.traits.energy_J_per_m3) ||
        !std::isnan(o.traits.quasi_elastic_gradient_Pa))
        text += traits_text(o.traits) + "\n";
    if (const std::string shear = shear_text(o.shear); !shear.empty())
        text += shear + "\n";
    return text;
}

/// The curve in plain characters and a blank line; nothing without one, or when sheared.
std::string plot_text(const CrushOutcome& o) {
    if (o.record.sideways)
        return "";
    TextLine line{.label = "", .x = o.curve.nominal_strain, .y = o.curve.nominal_stress_Pa};
    for (double& stress : line.y)
        stress /= units::MPa;
    const std::string plot = text_plot({line}, "nominal strain", "nominal stress [MPa]");
    return plot.empty() ? "" : plot + "\n";
}

int finish(const Session& session, const CrushOutcome& o) {
    const std::string verdict = verdict_text(o.record);
    if (session.json)
        print(to_json(o.record, o.traits, o.curve) + "\n");
    else
        print(run_lines(o) + "\n" + plot_text(o) + curve_text(o) + guards_text(o.record.guards) +
              "\n" + toned(verdict, o.record.trusted() ? Tone::Good : Tone::Bad) + "\n");
    if (o.record.trusted())
        return exit_code::done;
    if (o.record.end == CrushEnd::Interrupted)
        return stop_signal_exit_code();
    std::fprintf(stderr, "cellgrade: %s\n", verdict.c_str());
    return exit_code::not_trusted;
}

CrushHooks hooks_for(const Session& session, const CrushOptions& options, Progress& progress) {
    CrushHooks hooks;
    hooks.progress = [&progress](const CrushProgress& p) {
        progress.update(p.share_done,
                        fmt::format("strain {:.3f}, {:.4g} MPa, step {:.2g} us", p.nominal_strain,
                                    p.nominal_stress_Pa / units::MPa, 1e6 * p.step_s));
    };
    hooks.stop = [] { return stop_was_asked(); };
    hooks.checkpoint = options.checkpoint;
    hooks.log = session.log();
    return hooks;
}

int run_crush_command(const Session& session, const CrushOptions& options) {
    StudyConfig study = read_study(options.study, StudyUse::OneCrush);
    if (options.model)
        study.model = options.model;
    if (!options.frames.empty() && study.numerics.frames == 0)
        study.numerics.frames = default_frames;
    const StudyCase c = prepare_case(study);
    if (!session.json && !options.dry_run)
        print(specimen_line(c));
    if (options.dry_run) {
        print("# " + specimen_line(c) + c.resolved);
        return exit_code::done;
    }
    for (const std::string* file :
         {&options.output, &options.csv, &options.history_csv, &options.frames, &options.svg})
        require_writable_folder(*file);
    const int threads = threads_for(session, static_cast<Index>(n_elements(c.setup.mesh)));
    use_threads(threads);
    catch_stop_signals();
    const std::string start = utc_now();
    CrushOutcome outcome;
    {
        Progress progress("crush", !session.quiet);
        outcome = run_case(c, hooks_for(session, options, progress));
    }
    write_files(session, options, c, outcome, {start, outcome.wall_time_s, threads});
    return finish(session, outcome);
}

} // namespace

void add_crush_command(CLI::App& program, Session& session) {
    CLI::App& command =
        new_command(program, session, "crush", "Crush one specimen between platens.",
                    "  cellgrade crush examples/01_first_crush/study.toml -o crush.h5 --csv "
                    "curve.csv\n"
                    "  cellgrade crush examples/01_first_crush/study.toml --dry-run\n");
    auto o = std::make_shared<CrushOptions>();
    command.add_option("STUDY.toml", o->study, "study file, see examples/README.md")->required();
    add_result_file(command, "-o,--output", o->output, "everything, HDF5");
    add_result_file(command, "--csv", o->csv, "the curve: nominal_strain, nominal_stress_MPa");
    add_result_file(command, "--history-csv", o->history_csv, "forces and energies over time");
    add_result_file(command, "--frames", o->frames, "saved shapes for a viewer, .vtkhdf");
    add_result_file(command, "--svg", o->svg, "the curve as a picture");
    add_model_option(command, o->model, "Run");
    command
        .add_option("--checkpoint", o->checkpoint,
                    "save the state here every 2 % strain, and go on from it when it is there")
        ->type_name("FILE")
        ->group("Run");
    command
        .add_flag("--dry-run", o->dry_run, "check the input, print it with every default, and stop")
        ->group("Run");
    command.callback([&session, o] {
        session.action = [&session, o] { return run_crush_command(session, *o); };
    });
}

} // namespace cellgrade
