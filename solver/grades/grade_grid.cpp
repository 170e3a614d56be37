// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_grid.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace cellgrade {

namespace {

constexpr double steps_a_strain = 200.0;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Order of an axis: numbers rise, "none" (NaN) comes first and is one place.
bool before(double a, double b) {
    return std::isnan(a) ? !std::isnan(b) : a < b;
}

std::vector<double> axis_of(const GradeTable& table, double GradeCase::*member) {
    std::vector<double> axis;
    for (const GradeRow& row : table.rows)
        axis.push_back(row.grade.*member);
    std::sort(axis.begin(), axis.end(), before);
    const auto same = [](double a, double b) { return !before(a, b) && !before(b, a); };
    axis.erase(std::unique(axis.begin(), axis.end(), same), axis.end());
    return axis;
}

std::size_t place(const std::vector<double>& axis, double value) {
    return static_cast<std::size_t>(std::lower_bound(axis.begin(), axis.end(), value, before) -
                                    axis.begin());
}

std::string why_not_one_family(const GradeTable& table) {
    if (table.rows.empty())
        return "the table has no case";
    const GradeCase& first = table.rows.front().grade;
    for (const GradeRow& row : table.rows) {
        const GradeCase& grade = row.grade;
        if (grade.cell != first.cell || grade.polymer != first.polymer)
            return "the cases are of more than one cell or polymer; a grid holds one";
        if (grade.load != first.load || grade.precompression != first.precompression ||
            grade.path_angle_deg != first.path_angle_deg)
            return "the cases are of more than one load; a grid holds one";
        if (grade.load == CaseLoad::Shear)
            return "the cases are sheared; a grid holds nominal stress over nominal strain";
    }
    return "";
}

std::optional<LoadingBranch> trusted_branch(const GradeRow& row) {
    if (row.status != "trusted" || row.curve.turn < 2)
        return std::nullopt;
    return LoadingBranch(row.curve);
}

/// Strains of the rows' longest curve.
std::vector<double> strains_of(const GradeTable& table) {
    double last = 0.0;
    for (const GradeRow& row : table.rows)
        if (const auto branch = trusted_branch(row))
            last = std::max(last, branch->last_strain());
    std::vector<double> strains;
    for (int i = 0; i / steps_a_strain <= last; ++i)
        strains.push_back(i / steps_a_strain);
    return strains;
}

/// Place of every row among the curves of the grid; empty when a place is taken twice.
std::vector<std::size_t> places_of(const GradeTable& table, const GradeGrid& grid) {
    std::vector<std::size_t> places;
    for (const GradeRow& row : table.rows) {
        const GradeCase& grade = row.grade;
        const auto direction =
            std::lower_bound(grid.direction.begin(), grid.direction.end(), grade.direction);
        std::size_t at = place(grid.relative_density, grade.relative_density);
        at = at * grid.direction.size() +
             static_cast<std::size_t>(direction - grid.direction.begin());
        at = at * grid.strain_rate_per_s.size() +
             place(grid.strain_rate_per_s, grade.strain_rate_per_s);
        at = at * grid.temperature_C.size() + place(grid.temperature_C, grade.temperature_C);
        if (std::find(places.begin(), places.end(), at) != places.end())
            return {};
        places.push_back(at);
    }
    return places;
}

} // namespace

GradeGrid grade_grid(const GradeTable& table) {
    GradeGrid grid{.absent_because = why_not_one_family(table)};
    if (!grid.absent_because.empty())
        return grid;
    grid.relative_density = axis_of(table, &GradeCase::relative_density);
    grid.strain_rate_per_s = axis_of(table, &GradeCase::strain_rate_per_s);
    grid.temperature_C = axis_of(table, &GradeCase::temperature_C);
    for (const GradeRow& row : table.rows)
        grid.direction.push_back(row.grade.direction);
    std::sort(grid.direction.begin(), grid.direction.end());
    grid.direction.erase(std::unique(grid.direction.begin(), grid.direction.end()),
                         grid.direction.end());
    const std::size_t curves = grid.relative_density.size() * grid.direction.size() *
                               grid.strain_rate_per_s.size() * grid.temperature_C.size();
    const std::vector<std::size_t> places = places_of(table, grid);
    if (places.size() != curves)
        return {.absent_because = fmt::format(
                    "{} cases do not fill {} densities x {} directions x {} rates x {} "
                    "temperatures, each once",
                    table.rows.size(), grid.relative_density.size(), grid.direction.size(),
                    grid.strain_rate_per_s.size(), grid.temperature_C.size())};
    grid.nominal_strain = strains_of(table);
    const std::size_t n = grid.nominal_strain.size();
    grid.nominal_stress_Pa.assign(curves * n, unknown);
    for (std::size_t i = 0; i < places.size(); ++i)
        if (const auto branch = trusted_branch(table.rows[i]))
            for (std::size_t k = 0; k < n; ++k)
                grid.nominal_stress_Pa[places[i] * n + k] =
                    branch->stress_at(grid.nominal_strain[k]);
    return grid;
}

} // namespace cellgrade
