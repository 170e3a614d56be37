// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/columns.hpp"
#include "solver/cli/commands.hpp"
#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/doubt_text.hpp"
#include "solver/cli/study_stiffness.hpp"
#include "solver/cli/study_sweep.hpp"
#include "solver/core/publish.hpp"
#include "solver/core/units.hpp"
#include "solver/grades/density_scaling.hpp"
#include "solver/report/curve_plot.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/grade_table_file.hpp"
#include "solver/results/json.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

namespace {

struct TableOptions {
    std::string study;
    std::string output, csv, long_csv, curves_csv, svg;
    std::optional<ModelKind> model;
};

std::string short_rate_text(const GradeCase& grade) {
    return std::isnan(grade.speed_m_per_s) ? fmt::format("{:g}/s", grade.strain_rate_per_s)
                                           : fmt::format("{:g} m/s", grade.speed_m_per_s);
}

std::string load_text(const GradeCase& grade) {
    const std::string condition = condition_text(grade);
    return condition.empty() ? "-" : condition;
}

/// Sheared and oblique rows, which have traits of their own.
std::string sideways_text(const GradeTable& table) {
    std::vector<std::vector<std::string>> lines;
    for (const GradeRow& row : table.rows) {
        const ShearTraits& t = row.shear;
        if (row.grade.load != CaseLoad::Compression)
            lines.push_back({row.grade.cell, readable(row.grade.relative_density),
                             short_rate_text(row.grade), load_text(row.grade),
                             readable(t.shear_modulus_Pa / units::MPa),
                             readable(t.shear_stress_at_quarter_Pa / units::MPa),
                             readable(t.shear_strength_Pa / units::MPa),
                             readable(t.shear_energy_J_per_m3 / 1e6),
                             readable(t.normal_stress_after_Pa / units::MPa), row.status});
    }
    if (lines.empty())
        return "";
    return "\n" + columns_text({"cell ", "relative_density", "rate ", "load ", "shear_modulus_MPa",
                                "stress_at_quarter_MPa", "strength_MPa", "energy_MJ_per_m3",
                                "normal_stress_MPa", "status "},
                               lines);
}

/// How many cases left what their polymer was measured for, and the first of them.
std::string outside_text(const GradeTable& table) {
    const GradeRow* first = nullptr;
    int outside = 0;
    for (const GradeRow& row : table.rows) {
        if (row.outside_card.empty())
            continue;
        ++outside;
        if (first == nullptr)
            first = &row;
    }
    return outside == 0
               ? ""
               : fmt::format("polymer: {} of {} cases lean on its law beyond its tests (column "
                             "`outside_card` of the files); the first, {}: {}\n",
                             outside, table.rows.size(), grade_label(first->grade),
                             first->outside_card);
}

std::string rows_text(const GradeTable& table) {
    std::vector<std::vector<std::string>> lines;
    for (const GradeRow& row : table.rows) {
        if (row.grade.load == CaseLoad::Shear)
            continue;
        lines.push_back({row.grade.cell, readable(row.grade.relative_density),
                         readable(row.grade.strut_diameter_m / units::mm),
                         short_rate_text(row.grade), load_text(row.grade),
                         trait_with_doubt(row, &CrushTraits::plateau_stress_Pa, units::MPa),
                         trait_with_doubt(row, &CrushTraits::densification_strain, 1.0, 3),
                         trait_with_doubt(row, &CrushTraits::energy_J_per_m3, 1e6),
                         trait_with_doubt(row, &CrushTraits::sea_J_per_kg, 1e3),
                         trait_with_doubt(row, &CrushTraits::efficiency, 1.0, 3), row.status});
    }
    std::string text = columns_text({"cell ", "relative_density", "diameter_mm", "rate ", "load ",
                                     "plateau_MPa", "densification_strain", "energy_MJ_per_m3",
                                     "sea_J_per_g", "efficiency", "status "},
                                    lines) +
                       sideways_text(table);
    for (const GradeRow& row : table.rows)
        if (!row.reason.empty())
            text += fmt::format("{}: {}: {}\n", row.status, grade_label(row.grade), row.reason);
    const auto doubted =
        std::count_if(table.rows.begin(), table.rows.end(),
                      [](const GradeRow& row) { return !other_warning(row).empty(); });
    if (doubted > 0)
        text += fmt::format("beams: {} cases; how far beams are from tetrahedra stands in the "
                            "column `warning` of the files\n",
                            doubted);
    return text + outside_text(table);
}

/// "2.10 (1.91 to 2.30)".
std::string interval_text(double value, double low, double high) {
    return fmt::format("{:.3g} ({:.3g} to {:.3g})", value, low, high);
}

std::string powers_text(const GradeTable& table) {
    std::vector<std::vector<std::string>> lines;
    for (const ScalingRow& row : table.scaling) {
        if (row.grades < 3)
            continue; // no interval
        const GradeCase at{.direction = row.direction, .temperature_C = row.temperature_C};
        const std::string condition = condition_text(at);
        lines.push_back({row.cell, condition.empty() ? "-" : condition,
                         fmt::format("{:g}/s", row.strain_rate_per_s), row.trait,
                         interval_text(row.coefficient, row.coefficient_low, row.coefficient_high),
                         interval_text(row.exponent, row.exponent_low, row.exponent_high),
                         readable(100.0 * row.worst_share, 2), readable(row.theory_coefficient, 3),
                         readable(row.theory_exponent, 3)});
    }
    if (lines.empty())
        return "";
    return "\npowers of relative density, 95 % intervals: stress / modulus of the polymer, or 1 - "
           "densification strain, = coefficient x density^exponent\n" +
           columns_text({"cell ", "load ", "rate ", "trait ", "coefficient", "exponent", "worst_%",
                         "theory_coefficient", "theory_exponent"},
                        lines);
}

/// What was taken of the card's print effects; the same for every case of one kind of model.
std::string print_text(const StudySweep& sweep) {
    std::vector<std::string> notes;
    for (const StudyCase& c : sweep.cases)
        for (const std::string& note : c.print_notes)
            if (std::find(notes.begin(), notes.end(), note) == notes.end())
                notes.push_back(note);
    std::string text;
    for (const std::string& note : notes)
        text += fmt::format("print: {}\n", note);
    return text;
}

bool has_curve(const GradeTable& table) {
    return std::any_of(table.rows.begin(), table.rows.end(),
                       [](const GradeRow& row) { return row.curve.nominal_strain.size() > 1; });
}

CurvePlot table_plot(const GradeTable& table, const std::string& about) {
    CurvePlot plot = curve_plot_of(table);
    plot.subtitle = about;
    return plot;
}

StudySweep prepare(const TableOptions& options) {
    StudyConfig config = read_study(options.study, StudyUse::Table);
    if (options.model)
        config.model = options.model;
    return prepare_sweep(config);
}

Provenance table_provenance(const Session& session, const StudySweep& study) {
    Provenance p = provenance_of(session, study.cases.front());
    for (const StudyCase& c : study.cases)
        for (const InputText& input : c.inputs)
            if (std::none_of(p.inputs.begin(), p.inputs.end(),
                             [&](const InputText& seen) { return seen.sha256 == input.sha256; }))
                p.inputs.push_back(input);
    p.resolved_config = study_text(study.config);
    return p;
}

/// Whether a cell of the sweep carries load by stretching; unknown for a cell without struts.
std::optional<bool> stretching(const StudySweep& study, const std::string& cell) {
    for (const StudyCase& c : study.cases)
        if (c.grade.cell == cell) {
            const AnyCell any = study_cell(c.study);
            const auto* struts = std::get_if<StrutCell>(&any);
            return struts != nullptr ? std::optional(carries_by_stretching(*struts)) : std::nullopt;
        }
    return std::nullopt;
}

int run_table(const Session& session, const TableOptions& options) {
    for (const std::string* file :
         {&options.output, &options.csv, &options.long_csv, &options.curves_csv, &options.svg})
        require_writable_folder(*file);
    const StudySweep study = prepare(options);
    const std::string cases = options.output + ".cases";
    const SweepResult swept = compute_sweep(session, study, CaseCache(cases), "table");
    GradeTable table{.study_name = study.config.name, .rows = swept.rows};
    table.stiffness = sweep_stiffness(study, cases, session.log());
    const DensityScaling scaling = density_scaling(
        table, [&study](const std::string& cell) { return stretching(study, cell); });
    table.scaling = scaling.rows;
    for (const std::string& note : scaling.notes)
        session.log().write(LogLevel::Decision, "power laws: {}", note);
    write_grade_table(options.output, table, table_provenance(session, study));
    const std::vector<std::string> comments{caution_text()};
    if (!options.csv.empty())
        publish_text(options.csv, traits_csv(table, comments));
    if (!options.long_csv.empty())
        publish_text(options.long_csv, long_traits_csv(table, comments));
    if (!options.curves_csv.empty())
        publish_text(options.curves_csv, curves_csv(table, comments));
    if (!options.svg.empty() && has_curve(table))
        publish_text(options.svg, curve_plot_svg(table_plot(table, study.config.about)));
    print(session.json ? to_json(table) + "\n"
                       : rows_text(table) + powers_text(table) + print_text(study) +
                             doubts_text(study.config.uncertainty, table) + caution_text() + "\n");
    const SweepCounts& n = swept.counts;
    session.log().write(LogLevel::Phase, "{} computed, {} reused, {} failed, {} untrusted",
                        n.computed, n.reused, n.failed, n.untrusted);
    return n.failed + n.untrusted == 0 ? exit_code::done : exit_code::not_trusted;
}

} // namespace

void add_table_command(CLI::App& program, Session& session) {
    CLI::App& command = new_command(
        program, session, "table", "Crush every cell x density x rate of a study: a grade table.",
        "  cellgrade table examples/04_grade_table/study.toml -o grades.h5 --csv grades.csv\n"
        "  cellgrade table examples/04_grade_table/short.toml -o short.h5 --svg curves.svg\n");
    auto o = std::make_shared<TableOptions>();
    command.add_option("STUDY.toml", o->study, "study file with a table [sweep]")->required();
    add_model_option(command, o->model, "Run");
    add_result_file(
        command, "-o,--output", o->output,
        "the table, HDF5; finished cases are kept in FILE.cases/ and reused by the next run")
        ->required();
    add_result_file(command, "--csv", o->csv, "traits, one row a case");
    add_result_file(command, "--long-csv", o->long_csv,
                    "traits with their uncertainty by part, one row a case and trait");
    add_result_file(command, "--curves-csv", o->curves_csv, "all curves, one row a point");
    add_result_file(command, "--svg", o->svg, "all curves as a picture");
    command.callback(
        [&session, o] { session.action = [&session, o] { return run_table(session, *o); }; });
}

} // namespace cellgrade
