// SPDX-License-Identifier: Apache-2.0
#include "solver/report/drop_plot.hpp"

#include "solver/core/units.hpp"

#include <fmt/format.h>

namespace cellgrade {

std::vector<LinePanel> drop_panels(const DropRecord& record) {
    const DropHistory& h = record.history;
    const double g = units::standard_gravity;
    const bool doubtful = !record.trusted();
    const std::string filter = record.channel_class_Hz > 0.0
                                   ? fmt::format("filtered, class {:g}", record.channel_class_Hz)
                                   : std::string("not filtered");
    const std::vector<double> time = thinned(h.time_s, units::ms),
                              depth = thinned(h.depth_m, units::mm);
    std::vector<double> force = h.filtered_acceleration_m_per_s2;
    for (double& f : force)
        f *= record.striker_mass_kg;
    LinePanel pulse{
        .name = "acceleration over time", .x_name = "time [ms]", .y_name = "acceleration [g]"};
    LinePanel work{.name = "force over depth", .x_name = "depth [mm]", .y_name = "force [N]"};
    pulse.lines.push_back(
        {"striker, " + filter, time, thinned(h.filtered_acceleration_m_per_s2, g), doubtful});
    work.lines.push_back({"striker, " + filter, depth, thinned(force, 1.0), doubtful});
    if (record.channel_class_Hz > 0.0) {
        pulse.lines.push_back(
            {"striker, means over rows", time, thinned(h.acceleration_m_per_s2, g), true});
        work.lines.push_back(
            {"striker, means over rows", depth, thinned(h.contact_force_N, 1.0), true});
    }
    return {pulse, work};
}

std::string
drop_plot_svg(const std::string& title, const std::string& subtitle, const DropRecord& record) {
    return line_panels_svg(title, subtitle, drop_panels(record));
}

} // namespace cellgrade
