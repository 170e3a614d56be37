// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/print_fit_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/core/units.hpp"

#include <fmt/format.h>

namespace cellgrade {

std::vector<PrintFitRow> print_fit_rows(const PrintFit& fit) {
    std::vector<PrintFitRow> rows;
    const auto add = [&](std::string_view key, const std::optional<ReadingStatistics>& s,
                         double unit) {
        if (s)
            rows.push_back(
                {key, s->n, s->mean / unit, s->sd / unit, s->low / unit, s->high / unit});
    };
    add("diameter_offset_mm", fit.offset, units::mm);
    add("void_fraction", fit.porosity, 1.0);
    add("density_kg_per_m3", fit.density, 1.0);
    if (const auto& f = fit.factor)
        rows.push_back(
            {"build_direction_factor", fit.factor_readings, f->ratio, f->sd, f->low, f->high});
    return rows;
}

std::string print_fit_text(const PrintFit& fit) {
    std::vector<std::vector<std::string>> lines;
    for (const PrintFitRow& r : print_fit_rows(fit))
        lines.push_back({std::string(r.key), fmt::format("{}", r.readings), readable(r.mean),
                         readable(r.sd, 3), fmt::format("{:.4g} to {:.4g}", r.low, r.high)});
    return lines.empty()
               ? ""
               : columns_text({"print ", "readings", "mean", "standard_deviation", "interval_95 "},
                              lines) +
                     "\n";
}

} // namespace cellgrade
