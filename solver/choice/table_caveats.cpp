// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/table_caveats.hpp"

#include "solver/grades/trait_fields.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <vector>

namespace cellgrade {

namespace {

using Rows = std::vector<const GradeRow*>;

Rows rows_of(const GradeTable& table, const GradeSelection& selection) {
    Rows rows;
    for (const GradeRow& row : table.rows)
        if (row.grade.cell == selection.cell && row.grade.polymer == selection.polymer &&
            row.grade.direction == selection.direction && row.grade.load == selection.load)
            rows.push_back(&row);
    return rows;
}

std::string not_estimated(const Rows& rows) {
    std::array<bool, doubt_part_names.size()> missing{};
    bool any = false;
    for (const GradeRow* row : rows) {
        const auto fields = trait_fields();
        for (std::size_t i = 0; i < std::min(fields.size(), row->uncertainty.size()); ++i) {
            if ((fields[i].member != &CrushTraits::plateau_stress_Pa &&
                 fields[i].member != &CrushTraits::energy_J_per_m3) ||
                std::isnan(row->traits.*fields[i].member))
                continue;
            any = true;
            for (std::size_t part = 0; part < missing.size(); ++part)
                missing[part] = missing[part] || std::isnan(row->uncertainty[i].parts[part]);
        }
    }
    if (!any)
        return "all";
    std::vector<std::string> names;
    for (std::size_t part = 0; part < missing.size(); ++part)
        if (missing[part])
            names.emplace_back(doubt_part_names[part]);
    return fmt::format("{}", fmt::join(names, ", "));
}

std::string outside_card(const Rows& rows) {
    const GradeRow* first = nullptr;
    int trusted = 0, outside = 0;
    for (const GradeRow* row : rows) {
        if (row->status != "trusted")
            continue;
        ++trusted;
        if (row->outside_card.empty())
            continue;
        ++outside;
        if (first == nullptr)
            first = row;
    }
    return outside == 0 ? ""
                        : fmt::format("{} of {} curves, the first: {}", outside, trusted,
                                      first->outside_card);
}

} // namespace

TableCaveats table_caveats(const GradeTable& table, const GradeSelection& selection) {
    const Rows rows = rows_of(table, selection);
    return {.not_estimated = not_estimated(rows), .outside_card = outside_card(rows)};
}

} // namespace cellgrade
