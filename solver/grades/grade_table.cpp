// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_table.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace cellgrade {

namespace {

constexpr std::array load_names{"compression", "shear", "oblique"}; // in the order of CaseLoad

}

std::string load_name(CaseLoad load) {
    return load_names[static_cast<std::size_t>(load)];
}

CaseLoad load_from_name(const std::string& name) {
    for (std::size_t i = 0; i < load_names.size(); ++i)
        if (name == load_names[i])
            return static_cast<CaseLoad>(i);
    throw input_error("'{}' is not a load; compression, shear and oblique are", name);
}

std::string direction_text(const std::array<Index, 3>& d) {
    const bool digits = std::all_of(d.begin(), d.end(), [](Index i) { return i >= 0 && i < 10; });
    return digits ? fmt::format("[{}{}{}]", d[0], d[1], d[2])
                  : fmt::format("[{} {} {}]", d[0], d[1], d[2]);
}

std::string condition_text(const GradeCase& grade) {
    std::vector<std::string> parts;
    if (grade.direction != std::array<Index, 3>{0, 0, 1})
        parts.push_back(direction_text(grade.direction));
    if (std::isfinite(grade.temperature_C))
        parts.push_back(fmt::format("{:g} C", grade.temperature_C));
    if (grade.load == CaseLoad::Shear)
        parts.push_back(fmt::format("sheared at {:g}", grade.precompression));
    if (grade.load == CaseLoad::Oblique)
        parts.push_back(fmt::format("path {:g} deg", grade.path_angle_deg));
    return fmt::format("{}", fmt::join(parts, ", "));
}

std::string grade_label(const GradeCase& grade) {
    std::string label = fmt::format("{}, {}, relative density {:.4g}", grade.cell, grade.polymer,
                                    grade.relative_density);
    if (std::isfinite(grade.speed_m_per_s))
        label += fmt::format(", {:.4g} m/s", grade.speed_m_per_s);
    else if (std::isfinite(grade.strain_rate_per_s))
        label += fmt::format(", {:.4g} 1/s", grade.strain_rate_per_s);
    if (const std::string condition = condition_text(grade); !condition.empty())
        label += ", " + condition;
    return label;
}

void check_grade_table(const GradeTable& table) {
    std::set<std::string> keys;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        const GradeRow& row = table.rows[i];
        const auto refuse = [&](const std::string& what) {
            return input_error("grade table row {} ({}): {}", i + 1, grade_label(row.grade), what);
        };
        if (row.grade.key.empty() || !keys.insert(row.grade.key).second)
            throw refuse(fmt::format("the case key '{}' is empty or given twice", row.grade.key));
        if (row.status != "trusted" && row.status != "untrusted" && row.status != "failed")
            throw refuse(
                fmt::format("status '{}' is not one of trusted, untrusted, failed", row.status));
        if (row.status != "trusted" && row.reason.empty())
            throw refuse(fmt::format("status {} without a reason", row.status));
        if (row.curve.nominal_strain.size() != row.curve.nominal_stress_Pa.size())
            throw refuse("the curve has columns of different lengths");
        if (row.curve.shear_strain.size() != row.curve.shear_stress_Pa.size() ||
            (!row.curve.shear_strain.empty() &&
             row.curve.shear_strain.size() != row.curve.nominal_strain.size()))
            throw refuse("the columns of shear have other lengths than the curve");
    }
}

Index count_status(const GradeTable& table, const std::string& status) {
    return static_cast<Index>(std::count_if(table.rows.begin(), table.rows.end(),
                                            [&](const GradeRow& r) { return r.status == status; }));
}

} // namespace cellgrade
