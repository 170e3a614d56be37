// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/commands.hpp"
#include "solver/cli/measured_options.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/results/json.hpp"

#include <nlohmann/json.hpp>

#include <memory>
#include <string>

namespace cellgrade {

namespace {

struct TraitsOptions {
    std::string file;
    MeasuredOptions measured;
};

std::string to_json(const CrushTraits& traits, const MeasuredCurve& measured) {
    nlohmann::ordered_json corrections = nlohmann::ordered_json::array();
    for (const CurveCorrection& c : measured.corrections)
        corrections.push_back(
            {{"name", c.name}, {"strain_shift", c.strain_shift}, {"text", c.text}});
    return nlohmann::ordered_json{{"schema", "cellgrade/traits"},
                                  {"traits", nlohmann::ordered_json::parse(to_json(traits))},
                                  {"corrections", corrections},
                                  {"notes", measured.notes}}
               .dump(2) +
           "\n";
}

int run_traits(const Session& session, const TraitsOptions& o) {
    const MeasuredCurve measured =
        corrected(read_curve_csv(o.file, o.measured.size), o.measured, o.file);
    for (const std::string& note : measured.notes)
        session.log().write(LogLevel::Phase, "{}: {}", o.file, note);
    const CrushTraits traits = crush_traits(measured.curve, o.measured.mass());
    if (session.json) {
        print(to_json(traits, measured));
        return exit_code::done;
    }
    std::string text = traits_text(traits);
    for (const CurveCorrection& c : measured.corrections)
        text += fmt::format("\n{}", c.text);
    print(text + (measured.corrections.empty() ? "" : "\n"));
    return exit_code::done;
}

} // namespace

void add_traits_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "traits", "Crush traits of a measured or computed curve in a CSV file.",
        "  cellgrade traits examples/05_measured_curve/curve.csv\n"
        "  cellgrade traits examples/05_measured_curve/frame.csv --area-mm2 2500 --height-mm 25 "
        "--relative-density 0.15 --density-kg-per-m3 1150\n"
        "  cellgrade traits examples/05_measured_curve/frame.csv --area-mm2 2500 --height-mm 25 "
        "--frame-compliance-mm-per-N 2e-5 --toe-correction\n");
    auto o = std::make_shared<TraitsOptions>();
    command
        .add_option("CURVE.csv", o->file,
                    "strain or displacement and stress or force, units in the column names")
        ->required();
    add_measured_options(command, o->measured);
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_traits(session, *o); }; });
}

} // namespace cellgrade
