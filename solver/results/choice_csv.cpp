// SPDX-License-Identifier: Apache-2.0
#include "solver/results/choice_csv.hpp"

#include "solver/results/csv_cell.hpp"

#include <fmt/format.h>

namespace cellgrade {

namespace {

using csv::cell;

std::string candidate_cells(const Candidate& c) {
    std::string layers;
    for (const PadLayer& layer : c.grade.layers)
        layers += fmt::format("{}{}", layers.empty() ? "" : " ", layer.relative_density);
    return fmt::format("{},{},{},{},{},{},{},{},{},{},{:d}", cell(c.grade.selection.cell),
                       cell(c.grade.selection.polymer), cell(c.grade.relative_density), layers,
                       cell(c.thickness_m), cell(verdict_name(c.verdict)), cell(c.mass_kg),
                       cell(c.cost), cell(c.grade.through_view), cell(c.grade.opening_m),
                       c.on_front);
}

std::string blow_cells(const BlowResult& blow) {
    return fmt::format("{},{},{},{},{},{},{}", cell(blow.impact), cell(blow.temperature_C),
                       cell(verdict_name(blow.verdict)), cell(blow.use),
                       cell(blow.peak_acceleration_g), cell(blow.peak_acceleration_high_g),
                       cell(blow.largest_strain));
}

} // namespace

std::string choice_csv(const std::vector<ZoneChoice>& zones,
                       const std::vector<std::string>& comments) {
    std::string text =
        csv::comment_lines(comments) +
        "zone,rank,cell,polymer,relative_density,layer_relative_densities,thickness_m,verdict,mass_"
        "kg,cost,"
        "through_view_share,narrowest_opening_m,on_front,impact,worst_temperature_C,"
        "impact_verdict,used_share,peak_acceleration_g,peak_acceleration_high_g,largest_strain,"
        "reason\n";
    for (const ZoneChoice& zone : zones)
        for (std::size_t i = 0; i < zone.ranked.size(); ++i)
            for (const BlowResult& blow : zone.ranked[i].blows)
                text += fmt::format("{},{},{},{},{}\n", cell(zone.zone.name), i + 1,
                                    candidate_cells(zone.ranked[i]), blow_cells(blow),
                                    cell(zone.ranked[i].reason));
    return text;
}

} // namespace cellgrade
