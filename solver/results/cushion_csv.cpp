// SPDX-License-Identifier: Apache-2.0
#include "solver/results/cushion_csv.hpp"

#include "solver/results/csv_cell.hpp"

#include <fmt/format.h>

namespace cellgrade {

std::string cushion_csv(const std::vector<GradeCushion>& curves,
                        const std::vector<std::string>& comments) {
    using csv::cell;
    std::string text = csv::comment_lines(comments) +
                       "cell,relative_density,thickness_m,drop_height_m,static_stress_Pa,"
                       "peak_acceleration_g,largest_strain,bottomed\n";
    for (const GradeCushion& each : curves)
        for (const CushionPoint& point : each.curve.points)
            text += fmt::format("{},{},{},{},{},{},{},{:d}\n", cell(each.cell),
                                cell(each.relative_density), cell(each.curve.thickness_m),
                                cell(each.curve.drop_height_m), cell(point.static_stress_Pa),
                                cell(point.peak_acceleration_g), cell(point.largest_strain),
                                point.bottomed);
    return text;
}

} // namespace cellgrade
