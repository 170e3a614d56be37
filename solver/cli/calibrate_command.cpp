// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/calibration_picture.hpp"
#include "solver/cli/calibration_text.hpp"
#include "solver/cli/commands.hpp"
#include "solver/core/publish.hpp"

#include <memory>
#include <string>

namespace cellgrade {

namespace {

struct CalibrateOptions {
    std::string study, output, svg;
};

int run_calibrate(const Session& session, const CalibrateOptions& o) {
    for (const std::string* file : {&o.output, &o.svg})
        require_writable_folder(*file);
    const CalibrationStudy study = read_calibration_study(o.study);
    const Calibration c = calibrate(study);
    for (const std::string& note : c.notes)
        session.log().write(LogLevel::Phase, "{}", note);
    publish_text(o.output, card_text(c.card));
    if (!o.svg.empty()) {
        const CurvePlot plot = calibration_plot(c, study.name, study.about);
        if (plot.curves.empty() && plot.relaxation.empty())
            session.log().write(LogLevel::Warning, "no curve to draw: {} is not written", o.svg);
        else
            publish_text(o.svg, curve_plot_svg(plot));
    }
    print(session.json ? calibration_json(c) + "\n" : calibration_text(c));
    for (const std::string& reason : c.distrust)
        session.log().write(LogLevel::Warning, "not to be trusted: {}", reason);
    return c.distrust.empty() ? exit_code::done : exit_code::not_trusted;
}

} // namespace

void add_calibrate_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "calibrate",
        "Fit laws to coupon tests: a polymer card, and how good it is.",
        "  cellgrade calibrate examples/08_fit_polymer/study.toml -o liner_polymer.toml\n"
        "  cellgrade calibrate examples/08_fit_polymer/study.toml -o liner_polymer.toml --svg "
        "fit.svg --json\n");
    auto o = std::make_shared<CalibrateOptions>();
    command.add_option("STUDY.toml", o->study, "list of tests and what is known beforehand")
        ->required();
    add_result_file(command, "-o,--output", o->output, "the polymer card, TOML")->required();
    add_result_file(command, "--svg", o->svg, "tests against the fit as a picture");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_calibrate(session, *o); }; });
}

} // namespace cellgrade
