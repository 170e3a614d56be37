// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_table.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace cellgrade {

std::string grade_label(const GradeCase& grade) {
    std::string label = fmt::format("{}, {}, relative density {:.4g}", grade.cell, grade.polymer,
                                    grade.relative_density);
    if (std::isfinite(grade.speed_m_per_s))
        label += fmt::format(", {:.4g} m/s", grade.speed_m_per_s);
    else if (std::isfinite(grade.strain_rate_per_s))
        label += fmt::format(", {:.4g} 1/s", grade.strain_rate_per_s);
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
    }
}

Index count_status(const GradeTable& table, const std::string& status) {
    return static_cast<Index>(std::count_if(table.rows.begin(), table.rows.end(),
                                            [&](const GradeRow& r) { return r.status == status; }));
}

} // namespace cellgrade
