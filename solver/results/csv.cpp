// SPDX-License-Identifier: Apache-2.0
#include "solver/results/csv.hpp"

#include "solver/core/units.hpp"
#include "solver/grades/case_fields.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/shear_traits.hpp"
#include "solver/results/csv_cell.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace cellgrade {

namespace {

using csv::cell;
using csv::comment_lines;

/// All columns of a history.
template <class History, class Fields>
std::string
columns_csv(const History& history, Fields fields, const std::vector<std::string>& comments) {
    std::string text = comment_lines(comments);
    for (const auto& field : fields)
        text += fmt::format("{}{}", &field == fields.data() ? "" : ",", field.name);
    text += '\n';
    for (std::size_t i = 0; i < history.time_s.size(); ++i) {
        std::string line;
        for (const auto& field : fields)
            line += fmt::format("{}{}", &field == fields.data() ? "" : ",",
                                cell((history.*field.member).at(i)));
        text += line + '\n';
    }
    return text;
}

std::string case_header() {
    std::string text = "cell,polymer";
    for (const CaseField& field : case_fields())
        text.append(",").append(field.name);
    return text + ",direction,load,status";
}

std::string case_cells(const GradeRow& row) {
    const GradeCase& grade = row.grade;
    std::string text = cell(grade.cell) + ',' + cell(grade.polymer);
    for (const CaseField& field : case_fields())
        text.append(",").append(cell(grade.*field.member));
    return fmt::format("{},{},{},{}", text, cell(direction_text(grade.direction)),
                       load_name(grade.load), cell(row.status));
}

bool has_shear(const CrushCurve& curve) {
    return !curve.shear_strain.empty();
}

std::string shear_cells(const CrushCurve& curve, std::size_t i) {
    return fmt::format("{},{}", cell(curve.shear_strain[i]),
                       cell(curve.shear_stress_Pa[i] / units::MPa));
}

constexpr const char* shear_header = ",shear_strain,shear_stress_MPa";

/// The end of a line of the long form: one trait with what is known of its uncertainty.
std::string trait_cells(const std::string& name,
                        const std::string& units,
                        double value,
                        const TraitUncertainty& doubt) {
    std::string text = fmt::format("{},{},{},{}", name, units, cell(value), cell(doubt.combined()));
    for (const double part : doubt.parts)
        text.append(",").append(cell(part));
    return fmt::format("{},{},{},{},{}\n", text, cell(doubt.extrapolated), cell(doubt.mesh_order),
                       cell(doubt.settled_cells), cell(doubt.missing()));
}

std::string point_cells(const CrushCurve& curve, std::size_t i) {
    return fmt::format("{},{},{:d}", cell(curve.nominal_strain[i]),
                       cell(curve.nominal_stress_Pa[i] / units::MPa),
                       static_cast<Index>(i) >= curve.turn);
}

} // namespace

std::span<const HistoryField> history_fields() {
    static constexpr std::array<HistoryField, 17> fields{{
        {"time_s", "s", &CrushHistory::time_s},
        {"solver_time_s", "s", &CrushHistory::solver_time_s},
        {"displacement_m", "m", &CrushHistory::displacement_m},
        {"force_top_N", "N", &CrushHistory::force_top_N},
        {"force_bottom_N", "N", &CrushHistory::force_bottom_N},
        {"kinetic_energy_J", "J", &CrushHistory::kinetic_energy_J},
        {"stored_energy_J", "J", &CrushHistory::stored_energy_J},
        {"viscous_energy_J", "J", &CrushHistory::viscous_energy_J},
        {"contact_energy_J", "J", &CrushHistory::contact_energy_J},
        {"friction_energy_J", "J", &CrushHistory::friction_energy_J},
        {"damping_energy_J", "J", &CrushHistory::damping_energy_J},
        {"external_work_J", "J", &CrushHistory::external_work_J},
        {"penetration_share", "1", &CrushHistory::penetration_share},
        {"step_s", "s", &CrushHistory::step_s},
        {"slide_m", "m", &CrushHistory::slide_m},
        {"side_force_top_N", "N", &CrushHistory::side_force_top_N},
        {"side_force_bottom_N", "N", &CrushHistory::side_force_bottom_N},
    }};
    return fields;
}

std::string curve_csv(const CrushCurve& curve, const std::vector<std::string>& comments) {
    std::string text = comment_lines(comments) + "nominal_strain,nominal_stress_MPa,unloading" +
                       (has_shear(curve) ? shear_header : "") + '\n';
    for (std::size_t i = 0; i < curve.nominal_strain.size(); ++i)
        text +=
            point_cells(curve, i) + (has_shear(curve) ? ',' + shear_cells(curve, i) : "") + '\n';
    return text;
}

std::string history_csv(const CrushHistory& history, const std::vector<std::string>& comments) {
    return columns_csv(history, history_fields(), comments);
}

std::string drop_csv(const DropHistory& history, const std::vector<std::string>& comments) {
    return columns_csv(history, drop_history_fields(), comments);
}

std::string traits_csv(const GradeTable& table, const std::vector<std::string>& comments) {
    std::string text = comment_lines(comments) + case_header() +
                       ",reason,warning,outside_card,density_kg_per_m3,polymer_modulus_Pa";
    for (const TraitField& field : trait_fields())
        text.append(",").append(field.name);
    for (const ShearField& field : shear_fields())
        text.append(",").append(field.name);
    text += '\n';
    for (const GradeRow& row : table.rows) {
        text += fmt::format("{},{},{},{},{},{}", case_cells(row), cell(row.reason),
                            cell(row.warning), cell(row.outside_card), cell(row.density_kg_per_m3),
                            cell(row.polymer_modulus_Pa));
        for (const TraitField& field : trait_fields())
            text.append(",").append(cell(row.traits.*field.member));
        for (const ShearField& field : shear_fields())
            text.append(",").append(cell(row.shear.*field.member));
        text += '\n';
    }
    return text;
}

std::string long_traits_csv(const GradeTable& table, const std::vector<std::string>& comments) {
    std::string text = comment_lines(comments) + "case," + case_header() +
                       ",trait,unit,value,combined_uncertainty";
    for (const char* part : doubt_part_names)
        text.append(",").append(part).append("_uncertainty");
    text += ",extrapolated,mesh_order,settled_cells,not_estimated\n";
    for (std::size_t r = 0; r < table.rows.size(); ++r) {
        const GradeRow& row = table.rows[r];
        const std::string start = fmt::format("{},{},", r + 1, case_cells(row));
        const auto fields = trait_fields();
        for (std::size_t t = 0; t < fields.size(); ++t)
            text +=
                start +
                trait_cells(fields[t].name, fields[t].units, row.traits.*fields[t].member,
                            t < row.uncertainty.size() ? row.uncertainty[t] : TraitUncertainty{});
        if (has_shear(row.curve))
            for (const ShearField& field : shear_fields())
                text += start + trait_cells(field.name, field.units, row.shear.*field.member, {});
    }
    return text;
}

std::string curves_csv(const GradeTable& table, const std::vector<std::string>& comments) {
    std::string text = comment_lines(comments) + "case," + case_header() +
                       ",nominal_strain,nominal_stress_MPa,unloading" + shear_header + '\n';
    for (std::size_t r = 0; r < table.rows.size(); ++r) {
        const GradeRow& row = table.rows[r];
        const std::string start = fmt::format("{},{},", r + 1, case_cells(row));
        for (std::size_t i = 0; i < row.curve.nominal_strain.size(); ++i)
            text += start + point_cells(row.curve, i) + ',' +
                    (has_shear(row.curve) ? shear_cells(row.curve, i) : ",") + '\n';
    }
    return text;
}

} // namespace cellgrade
