// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/study_sweep.hpp"
#include "solver/core/publish.hpp"
#include "solver/grades/model_agreement.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

struct CompareOptions {
    std::string study;
    std::string output;
};

/// The study with every cell as beams, or every cell as a solid; as drawn and isotropic, since the
/// two take a build direction in different ways and the map of agreement is one of drawn grades.
StudyConfig with_model(StudyConfig config, ModelKind model) {
    config.model = model;
    config.uncertainty = {};
    config.printed = {.as_drawn = true, .build_axis = {}, .scatter_seed = {}};
    if (model == ModelKind::Solid)
        config.specimen.elements_per_strut.reset(); // of the beams
    return config;
}

std::vector<ModelAgreement> compare(const Session& session, const CompareOptions& options) {
    const StudyConfig config = read_study(options.study, StudyUse::Table);
    if (!config.sweep.shear_precompressions.empty() || !config.sweep.path_angles_deg.empty() ||
        moves_sideways(config.loading))
        throw Error(Fault::Input,
                    "shear and oblique paths are not for `compare`, which compares the traits of "
                    "straight crushes",
                    {.file = config.path.string(), .key = "sweep"});
    const StudySweep beams = prepare_sweep(with_model(config, ModelKind::Beams));
    const StudySweep solid = prepare_sweep(with_model(config, ModelKind::Solid));
    const CaseCache cache(options.output + ".cases");
    const SweepResult by_beams = compute_sweep(session, beams, cache, "compare, beams");
    const SweepResult by_solid = compute_sweep(session, solid, cache, "compare, solids");
    std::vector<ModelAgreement> all;
    for (std::size_t i = 0; i < beams.cases.size(); ++i)
        all.push_back(agreement_of(by_beams.rows[i], by_solid.rows[i], beams.cases[i].slenderness));
    for (const SweepResult* rows : {&by_beams, &by_solid})
        for (const GradeRow& row : rows->rows)
            if (!row.reason.empty())
                session.log().write(LogLevel::Warning, "{}: {} as {}: {}", row.status,
                                    grade_label(row.grade), rows == &by_beams ? "beams" : "solid",
                                    row.reason);
    return all;
}

std::string csv_number(double value) {
    return std::isnan(value) ? "" : fmt::format("{}", value);
}

std::string to_csv(const std::vector<ModelAgreement>& all) {
    std::string text = "# " + caution_text() +
                       "\n# trait by beams over trait by the solid, less 1\n"
                       "cell,relative_density,slenderness,stiffness_difference,collapse_difference,"
                       "plateau_difference,sea_difference,agreement,trusted\n";
    for (const ModelAgreement& a : all)
        text += fmt::format("{},{},{},{},{},{},{},{},{}\n", a.grade.cell, a.grade.relative_density,
                            a.slenderness, csv_number(a.stiffness), csv_number(a.collapse),
                            csv_number(a.plateau), csv_number(a.sea), worst_class(a),
                            a.trusted ? 1 : 0);
    return text;
}

std::string to_json(const std::vector<ModelAgreement>& all) {
    nlohmann::ordered_json rows = nlohmann::ordered_json::array();
    for (const ModelAgreement& a : all) // NaN becomes null
        rows.push_back({{"cell", a.grade.cell},
                        {"relative_density", a.grade.relative_density},
                        {"slenderness", a.slenderness},
                        {"stiffness_difference", a.stiffness},
                        {"collapse_difference", a.collapse},
                        {"plateau_difference", a.plateau},
                        {"sea_difference", a.sea},
                        {"agreement", worst_class(a)},
                        {"trusted", a.trusted}});
    return nlohmann::ordered_json{{"schema", "cellgrade/model-agreement"},
                                  {"means", "trait by beams over trait by the solid, less 1"},
                                  {"caution", caution_text()},
                                  {"rows", rows}}
               .dump(2) +
           "\n";
}

std::string signed_percent(double difference) {
    return std::isnan(difference) ? "-" : fmt::format("{:+.1f} %", 100.0 * difference);
}

std::string to_text(const std::vector<ModelAgreement>& all) {
    std::vector<std::vector<std::string>> lines;
    for (const ModelAgreement& a : all)
        lines.push_back({a.grade.cell, readable(a.grade.relative_density),
                         readable(a.slenderness, 3), signed_percent(a.stiffness),
                         signed_percent(a.collapse), signed_percent(a.plateau),
                         signed_percent(a.sea), worst_class(a), a.trusted ? "yes" : "no"});
    return "Beams over solid, less 1:\n\n" +
           columns_text({"cell ", "relative_density", "slenderness", "stiffness", "collapse",
                         "plateau", "sea", "within", "trusted"},
                        lines);
}

int run_compare(const Session& session, const CompareOptions& options) {
    require_writable_folder(options.output);
    const std::vector<ModelAgreement> all = compare(session, options);
    publish_text(options.output, to_csv(all));
    print(session.json ? to_json(all) : to_text(all));
    const bool trusted =
        std::all_of(all.begin(), all.end(), [](const ModelAgreement& a) { return a.trusted; });
    return trusted ? exit_code::done : exit_code::not_trusted;
}

} // namespace

void add_compare_command(CLI::App& program, Session& session) {
    CLI::App& command =
        new_command(program, session, "compare",
                    "Crush strut cells as beams and as solids, and tell where beams hold.",
                    "  cellgrade compare examples/06_beams_or_solid/study.toml -o agreement.csv\n");
    auto o = std::make_shared<CompareOptions>();
    command.add_option("STUDY.toml", o->study, "study file with a table [sweep] of strut cells")
        ->required();
    add_result_file(command, "-o,--output", o->output,
                    "the differences, CSV; finished cases are kept in FILE.cases/ and reused by "
                    "the next run")
        ->required();
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_compare(session, *o); }; });
}

} // namespace cellgrade
