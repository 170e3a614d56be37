// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/trait_text.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/grades/grade_inverse.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/json.hpp"
#include "solver/results/json_number.hpp"
#include "solver/results/provenance.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

using Json = nlohmann::ordered_json;

constexpr double kJ = 1e3;

struct AskOptions {
    std::string table, cell, polymer, csv;
    std::vector<Index> direction{0, 0, 1};
    std::optional<double> path_angle_deg, strain_rate_per_s, temperature_C;
    std::optional<double> at_density, plateau_MPa, energy_kJ_per_m3, stress_limit_MPa;
    bool extrapolate = false;
};

/// What a question is answered with: text for people, the same as JSON.
struct Answer {
    std::string text;
    Json json;
};

GradePoint point_of(const AskOptions& o) {
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    return {.relative_density = o.at_density.value_or(unknown),
            .strain_rate_per_s = o.strain_rate_per_s.value_or(unknown),
            .temperature_C = o.temperature_C.value_or(unknown)};
}

CrushCurve crush_curve_of(const GradeCurve& grade) {
    CrushCurve curve{.nominal_strain = grade.nominal_strain,
                     .nominal_stress_Pa = grade.nominal_stress_Pa,
                     .turn = static_cast<Index>(grade.nominal_strain.size())};
    curve.nominal_strain.insert(curve.nominal_strain.end(), grade.unloading_strain.begin(),
                                grade.unloading_strain.end());
    curve.nominal_stress_Pa.insert(curve.nominal_stress_Pa.end(), grade.unloading_stress_Pa.begin(),
                                   grade.unloading_stress_Pa.end());
    return curve;
}

std::string percent(double share) {
    return std::isnan(share) ? "not known" : fmt::format("{:.2g} %", 100.0 * share);
}

Answer curve_answer(const GradeCurves& curves, const AskOptions& o) {
    const GradeCurve grade =
        curves.curve_at(point_of(o), o.extrapolate ? Extrapolation::Allow : Extrapolation::Refuse);
    const CrushCurve curve = crush_curve_of(grade);
    const CrushTraits traits =
        crush_traits(curve, {.relative_density = grade.relative_density,
                             .solid_density_kg_per_m3 = grade.solid_density_kg_per_m3});
    std::string extrapolated;
    if (!grade.extrapolated.empty())
        extrapolated = fmt::format("extrapolated in {}", grade.extrapolated);
    if (!o.csv.empty()) {
        std::vector<std::string> comments{
            caution_text(),
            fmt::format("interpolated between grades: {}, {}, relative density {:g}",
                        curves.selection().cell, curves.selection().polymer,
                        grade.relative_density)};
        if (!extrapolated.empty())
            comments.push_back(extrapolated);
        publish_text(o.csv, curve_csv(curve, comments));
    }
    std::string text = traits_text(traits);
    text += fmt::format("\nstandard uncertainty of stress {}, of energy {}\n",
                        percent(grade.stress_uncertainty_share),
                        percent(grade.energy_uncertainty_share));
    if (!extrapolated.empty())
        text += extrapolated + "\n";
    return {text,
            {{"relative_density", grade.relative_density},
             {"extrapolated", grade.extrapolated},
             {"stress_uncertainty_share", json_number(grade.stress_uncertainty_share)},
             {"energy_uncertainty_share", json_number(grade.energy_uncertainty_share)},
             {"traits", Json::parse(to_json(traits))},
             {"curve", Json::parse(to_json(curve))}}};
}

Answer plateau_answer(const GradeCurves& curves, const AskOptions& o) {
    const DensityForStress found =
        density_for_plateau(curves, *o.plateau_MPa * units::MPa, point_of(o));
    std::vector<std::vector<std::string>> rows;
    for (const double density : found.densities) {
        GradePoint at = point_of(o);
        at.relative_density = density;
        const GradeCurve grade = curves.curve_at(at);
        rows.push_back({readable(density, 6), readable(grade.plateau_stress_Pa() / units::MPa, 6),
                        percent(grade.stress_uncertainty_share)});
    }
    const std::string text =
        rows.empty() ? "no density: " + found.why_none + "\n"
                     : columns_text({"relative_density", "plateau_MPa", "uncertainty"}, rows);
    return {text, {{"relative_densities", found.densities}, {"why_none", found.why_none}}};
}

std::vector<std::string> absorbed_cells(double density, const AbsorbedEnergy& absorbed) {
    return {readable(density, 6), readable(absorbed.energy_J_per_m3 / kJ, 5),
            readable(absorbed.strain, 4),
            absorbed.curve_ends ? "the curve ends below the limit" : "the limit is met"};
}

Json absorbed_object(double density, const AbsorbedEnergy& absorbed) {
    return {{"relative_density", density},
            {"energy_J_per_m3", absorbed.energy_J_per_m3},
            {"nominal_strain", absorbed.strain},
            {"curve_ends", absorbed.curve_ends}};
}

Answer energy_answer(const GradeCurves& curves, const AskOptions& o) {
    if (!o.stress_limit_MPa)
        throw input_error("--energy-kJ-per-m3 needs --stress-limit-MPa: every grade absorbs more "
                          "the harder it is pressed");
    const DensityForEnergy found = density_for_energy(
        curves, *o.energy_kJ_per_m3 * kJ, *o.stress_limit_MPa * units::MPa, point_of(o));
    Answer answer;
    Json ranges = Json::array();
    for (const AbsorbingRange& range : found.ranges) {
        answer.text +=
            fmt::format("relative densities {:.6g}{} to {:.6g}{}\n", range.from,
                        range.from_is_table_end ? " (the lightest of the table)" : "", range.to,
                        range.to_is_table_end ? " (the densest of the table)" : "");
        std::vector<std::string> first = absorbed_cells(range.from, range.at_from);
        std::vector<std::string> best = absorbed_cells(range.best, range.at_best);
        first.insert(first.begin(), "lightest");
        best.insert(best.begin(), "most energy");
        answer.text += columns_text(
            {"grade ", "relative_density", "energy_kJ_per_m3", "nominal_strain", "there "},
            {first, best});
        ranges.push_back({{"from", range.from},
                          {"to", range.to},
                          {"from_is_table_end", range.from_is_table_end},
                          {"to_is_table_end", range.to_is_table_end},
                          {"lightest", absorbed_object(range.from, range.at_from)},
                          {"most_energy", absorbed_object(range.best, range.at_best)}});
    }
    if (found.ranges.empty())
        answer.text = "no density: " + found.why_none + "\n";
    answer.json = {{"ranges", std::move(ranges)},
                   {"why_none", found.why_none},
                   {"most_energy", absorbed_object(found.best, found.at_best)}};
    return answer;
}

int run_ask(const Session& session, const AskOptions& o) {
    const int questions =
        o.at_density.has_value() + o.plateau_MPa.has_value() + o.energy_kJ_per_m3.has_value();
    if (questions != 1)
        throw input_error("one question is needed: --at-density, --plateau-MPa or "
                          "--energy-kJ-per-m3");
    if (!o.at_density && (!o.csv.empty() || o.extrapolate))
        throw input_error("--csv and --extrapolate belong to --at-density");
    if (!o.energy_kJ_per_m3 && o.stress_limit_MPa)
        throw input_error("--stress-limit-MPa belongs to --energy-kJ-per-m3");
    require_writable_folder(o.csv);
    const GradeTable table = read_grade_table(o.table);
    GradeSelection selection{.cell = o.cell,
                             .polymer = o.polymer,
                             .direction = {o.direction[0], o.direction[1], o.direction[2]}};
    if (o.path_angle_deg) {
        selection.load = CaseLoad::Oblique;
        selection.path_angle_deg = *o.path_angle_deg;
    }
    const GradeCurves curves(table, selection);
    const Answer answer = o.at_density    ? curve_answer(curves, o)
                          : o.plateau_MPa ? plateau_answer(curves, o)
                                          : energy_answer(curves, o);
    for (const std::string& row : curves.left_out())
        session.log().write(LogLevel::Phase, "left out: {}", row);
    if (!curves.note().empty())
        session.log().write(LogLevel::Phase, "{}", curves.note());
    if (session.json)
        print(Json{{"schema", "cellgrade/ask"},
                   {"schema_version", {1, 0}},
                   {"caution", caution_text()},
                   {"cell", curves.selection().cell},
                   {"polymer", curves.selection().polymer},
                   {"answer", answer.json},
                   {"left_out", curves.left_out()},
                   {"note", curves.note()}}
                  .dump(2) +
              "\n");
    else
        print(answer.text + "\n" + caution_text() + "\n");
    return exit_code::done;
}

} // namespace

void add_ask_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "ask", "Ask a grade table: a curve between its grades, or which density.",
        "  cellgrade table examples/11_read_table/study.toml -o grades.h5\n"
        "  cellgrade ask grades.h5 --cell body_centred --at-density 0.09 --csv curve.csv\n"
        "  cellgrade ask grades.h5 --cell body_centred --plateau-MPa 0.008\n"
        "  cellgrade ask grades.h5 --cell body_centred --energy-kJ-per-m3 5 "
        "--stress-limit-MPa 0.02\n");
    auto o = std::make_shared<AskOptions>();
    command.add_option("TABLE.h5", o->table, "grade table of `cellgrade table`")->required();
    const auto number = [&command](const char* name, std::optional<double>& value, const char* unit,
                                   const char* text, const char* group) {
        return command.add_option(name, value, text)->type_name(unit)->group(group);
    };
    const char* question = "Question (one)";
    number("--at-density", o->at_density, "SHARE", "the curve of this relative density", question);
    number("--plateau-MPa", o->plateau_MPa, "MPA", "the density of this plateau stress", question);
    number("--energy-kJ-per-m3", o->energy_kJ_per_m3, "KJ_PER_M3",
           "the densities that absorb this energy per volume below --stress-limit-MPa", question);
    number("--stress-limit-MPa", o->stress_limit_MPa, "MPA", "largest nominal stress", question);
    const char* which = "Which grades";
    add_selection_options(command, o->cell, o->polymer, o->direction, which)->required();
    number("--path-angle-deg", o->path_angle_deg, "DEG", "grades crushed along an oblique path",
           which);
    number("--strain-rate-per-s", o->strain_rate_per_s, "PER_S",
           "strain rate, where the table has several", which);
    number("--temperature-C", o->temperature_C, "C", "temperature, where the table has several",
           which);
    command
        .add_flag("--extrapolate", o->extrapolate,
                  "answer --at-density outside the table too, and say so")
        ->group(which);
    add_result_file(command, "--csv", o->csv, "the curve of --at-density");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_ask(session, *o); }; });
}

} // namespace cellgrade
