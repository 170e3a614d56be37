// SPDX-License-Identifier: Apache-2.0
#include "solver/report/explorer_grades.hpp"

#include "solver/choice/impact_answer.hpp"
#include "solver/core/error.hpp"
#include "solver/grades/grade_curves.hpp"

#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace cellgrade {

namespace {

using Family = std::tuple<std::string, std::string, std::array<Index, 3>>;

struct Members {
    std::map<double, double> density_kg_per_m3; ///< by relative density
    std::set<double> temperatures_C;            ///< empty: none is told
};

std::string label_end_of(const ExplorerGrade& grade, const std::array<Index, 3>& direction) {
    std::string end;
    if (direction != std::array<Index, 3>{0, 0, 1})
        end += " " + direction_text(direction);
    if (std::isfinite(grade.temperature_C))
        end += fmt::format(", {:g} C", grade.temperature_C);
    return end;
}

} // namespace

std::vector<ExplorerGrade> explorer_grades(const GradeTable& table,
                                           std::vector<std::string>& left_out) {
    std::map<Family, Members> families;
    for (const GradeRow& row : table.rows) {
        if (row.grade.load != CaseLoad::Compression || row.status != "trusted")
            continue;
        Members& members = families[{row.grade.cell, row.grade.polymer, row.grade.direction}];
        members.density_kg_per_m3[row.grade.relative_density] = row.density_kg_per_m3;
        if (std::isfinite(row.grade.temperature_C))
            members.temperatures_C.insert(row.grade.temperature_C);
    }
    std::vector<ExplorerGrade> grades;
    for (const auto& [family, members] : families) {
        const auto& [cell, polymer, direction] = family;
        const GradeSelection selection{.cell = cell, .polymer = polymer, .direction = direction};
        const GradeCurves curves(table, selection);
        const TableCaveats caveats = table_caveats(table, selection);
        std::vector<double> temperatures(members.temperatures_C.begin(),
                                         members.temperatures_C.end());
        if (temperatures.empty())
            temperatures.push_back(std::nan(""));
        for (const auto& [relative_density, density] : members.density_kg_per_m3)
            for (const double celsius : temperatures) {
                ExplorerGrade grade{.cell = cell,
                                    .polymer = polymer,
                                    .relative_density = relative_density,
                                    .temperature_C = celsius,
                                    .density_kg_per_m3 = density};
                grade.label_end = label_end_of(grade, direction);
                grade.label = fmt::format("{} {:.3g}{}", cell, relative_density, grade.label_end);
                grade.caveats = caveats;
                try {
                    const GradeResponse response(curves, relative_density, celsius);
                    grade.steepest_Pa = response.steepest_Pa();
                    grade.uncertainty_share = response.uncertainty_share();
                    grade.unloads = response.unloads();
                    grade.lowest_rate_per_s = response.lowest_rate_per_s();
                    grade.highest_rate_per_s = response.highest_rate_per_s();
                    grade.knots = response.knots();
                    grades.push_back(std::move(grade));
                } catch (const Error& error) {
                    left_out.push_back(fmt::format("{}: {}", grade.label, error.what()));
                }
            }
    }
    return grades;
}

} // namespace cellgrade
