// SPDX-License-Identifier: Apache-2.0
#include "solver/report/impact_plot.hpp"

#include "solver/core/units.hpp"
#include "solver/report/line_panel.hpp"

#include <fmt/format.h>

#include <cmath>

namespace cellgrade {

namespace {

constexpr double kN = 1e3;

void add_level(LinePanel& panel, double limit, double unit, const char* format_unit) {
    if (std::isfinite(limit))
        panel.levels.push_back(
            {fmt::format("limit {:.4g} {}", limit / unit, format_unit), limit / unit});
}

} // namespace

std::string hit_label(const AnsweredImpact& blow, const ImpactAnswer& answer, std::size_t hit) {
    std::string label = answer.impact;
    if (std::isfinite(answer.temperature_C))
        label += fmt::format(", {:g} C", answer.temperature_C);
    if (blow.impact.hits > 1)
        label += fmt::format(", hit {}", hit + 1);
    return label;
}

std::string impact_plot_svg(const std::string& title,
                            const std::string& subtitle,
                            const std::vector<AnsweredImpact>& blows) {
    LinePanel force{.name = "force over depth", .x_name = "depth [mm]", .y_name = "force [kN]"};
    LinePanel pulse{
        .name = "acceleration over time", .x_name = "time [ms]", .y_name = "acceleration [g]"};
    for (const AnsweredImpact& blow : blows)
        for (const ImpactAnswer& answer : blow.answers)
            for (std::size_t i = 0; i < answer.hits.size(); ++i) {
                const ImpactHistory& hit = answer.hits[i].run.history;
                const bool bottomed = answer.hits[i].bottomed;
                const std::string label =
                    hit_label(blow, answer, i) + (bottomed ? ", bottomed: no result" : "");
                force.lines.push_back(
                    {label, thinned(hit.depth_m, units::mm), thinned(hit.force_N, kN), bottomed});
                pulse.lines.push_back(
                    {label, thinned(hit.time_s, units::ms),
                     thinned(hit.force_N, blow.impact.mass_kg * units::standard_gravity),
                     bottomed});
            }
    if (!blows.empty()) {
        add_level(force, blows.front().impact.limits.peak_force_N, kN, "kN");
        add_level(pulse, blows.front().impact.limits.peak_acceleration_g, 1.0, "g");
    }
    return line_panels_svg(title, subtitle, {force, pulse});
}

} // namespace cellgrade
