// SPDX-License-Identifier: Apache-2.0
#include "solver/report/cushion_plot.hpp"

#include "solver/core/units.hpp"
#include "solver/report/line_panel.hpp"

namespace cellgrade {

std::string cushion_plot_svg(const std::string& title,
                             const std::string& subtitle,
                             const std::vector<GradeCushion>& curves) {
    LinePanel panel{.name = "cushion curves: cell, relative density, thickness, drop height",
                    .x_name = "static stress [kPa]",
                    .y_name = "peak acceleration [g]",
                    .lines = {},
                    .levels = {}};
    for (const GradeCushion& each : curves) {
        PanelLine line{.label = each.label()};
        for (const CushionPoint& point : held_points(each.curve)) {
            line.x.push_back(point.static_stress_Pa / units::kPa);
            line.y.push_back(point.peak_acceleration_g);
        }
        panel.lines.push_back(std::move(line));
    }
    return line_panels_svg(title, subtitle, {panel});
}

} // namespace cellgrade
