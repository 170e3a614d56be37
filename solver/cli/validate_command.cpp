// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/commands.hpp"
#include "solver/cli/validation_text.hpp"
#include "solver/core/publish.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

struct ValidateOptions {
    std::string computed;
    std::vector<std::string> files;
    std::optional<Index> row;
    MeasuredOptions measured;
    std::string svg, csv, corridor;
};

std::vector<Difference> trait_differences(const ValidationReport& r, const SpecimenMass& mass) {
    const CrushTraits computed = crush_traits(r.computed.curve, r.computed.mass);
    std::vector<CrushTraits> measured;
    for (const MeasuredCurve& one : r.measured)
        measured.push_back(crush_traits(one.curve, mass));
    std::vector<Difference> differences;
    for (const TraitField& field : trait_fields()) {
        std::vector<double> values;
        for (const CrushTraits& traits : measured)
            values.push_back(traits.*field.member);
        differences.push_back(difference_of(computed.*field.member, values));
    }
    return differences;
}

ValidationReport report_of(const ValidateOptions& o) {
    ValidationReport r{.computed_file = o.computed,
                       .computed = read_any_curve(o.computed, o.row, o.measured.size),
                       .measured_files = o.files};
    std::vector<CrushCurve> curves;
    for (const std::string& file : o.files) {
        r.measured.push_back(corrected(read_curve_csv(file, o.measured.size), o.measured, file));
        curves.push_back(r.measured.back().curve);
    }
    r.validation = validate_curve(r.computed.curve, curves);
    r.traits = trait_differences(r, o.measured.mass());
    return r;
}

int run_validate(const Session& session, const ValidateOptions& o) {
    for (const std::string* file : {&o.svg, &o.csv, &o.corridor})
        require_writable_folder(*file);
    const ValidationReport r = report_of(o);
    if (!o.svg.empty())
        publish_text(o.svg, curve_plot_svg(validation_plot(r)));
    if (!o.csv.empty())
        publish_text(o.csv, validation_csv(r));
    if (!o.corridor.empty())
        publish_text(o.corridor, corridor_csv(r));
    print(session.json ? validation_json(r) : validation_text(r));
    return r.computed.trusted ? exit_code::done : exit_code::not_trusted;
}

} // namespace

void add_validate_command(CLI::App& program, Session& session) {
    CLI::App& command =
        new_command(program, session, "validate",
                    "Hold a computed curve against measured ones: traits, scores, corridor.",
                    "  cellgrade validate examples/05_measured_curve/curve.csv "
                    "examples/05_measured_curve/frame.csv --area-mm2 2500 --height-mm 25\n"
                    "  cellgrade validate examples/05_measured_curve/curve.csv "
                    "examples/05_measured_curve/curve.csv examples/05_measured_curve/frame.csv "
                    "--area-mm2 2500 --height-mm 25 --svg overlay.svg --csv differences.csv\n");
    auto o = std::make_shared<ValidateOptions>();
    command
        .add_option("COMPUTED", o->computed,
                    "a result of `crush -o`, a grade table, or a curve in a CSV file")
        ->required();
    command
        .add_option("MEASURED.csv", o->files,
                    "one or more repeats of one test: strain or displacement, stress or force")
        ->required();
    command.add_option("--row", o->row, "row of the grade table, from 1")
        ->type_name("N")
        ->check(CLI::Range(1, 1000000))
        ->group("Computed");
    add_measured_options(command, o->measured);
    add_result_file(command, "--svg", o->svg,
                    "the curves over one another and the corridor, as a picture");
    add_result_file(command, "--csv", o->csv, "quantities, differences and scores");
    add_result_file(command, "--corridor-csv", o->corridor,
                    "mean, deviation and computed stress over strain");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_validate(session, *o); }; });
}

} // namespace cellgrade
