// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/drop_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/cli/text_plot.hpp"
#include "solver/core/units.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <vector>

namespace cellgrade {

namespace {

/// Within it table and drop are said to agree.
constexpr double agreement_share = 0.10;

} // namespace

std::string striker_line(const DropStriker& s) {
    std::string text = "striker   ";
    text += s.face == StrikerFace::Sphere
                ? fmt::format("sphere of radius {:g} mm", s.radius_m / units::mm)
                : std::string("flat");
    text +=
        fmt::format(", {:.4g} kg on the modelled pad at {:.4g} m/s", s.mass_kg, s.speed_m_per_s);
    if (s.path_angle > 0.0)
        text +=
            fmt::format(", {:g} degrees off the normal", s.path_angle * 180.0 / std::numbers::pi);
    text += s.guided                ? ", guided"
            : s.inertia_kg_m2 > 0.0 ? ", free to slide and turn"
                                    : ", free to slide";
    return text + (s.with_weight ? ", with its weight\n" : "\n");
}

std::string
drop_traits_text(const DropRecord& record, const DropInjury& injury, const DropStriker& striker) {
    const DropTraits& t = record.traits;
    std::vector<std::vector<std::string>> rows{
        {"peak_acceleration_g", readable(t.peak_acceleration_g)},
        {"peak_unfiltered_acceleration_g", readable(t.peak_unfiltered_acceleration_g)},
        {"peak_force_N", readable(t.peak_force_N)},
        {"time_of_peak_ms", readable(t.time_of_peak_s / units::ms)},
        {"largest_depth_mm", readable(t.largest_depth_m / units::mm)},
        {"largest_strain", readable(t.largest_strain)},
        {"efficient_depth_mm", readable(t.efficient_depth_m / units::mm)},
        {"pulse_ms", readable(t.pulse_s / units::ms)},
        {"rebound_speed_m_per_s", readable(t.rebound_speed_m_per_s)},
        {"restitution", readable(t.restitution)},
        {"impact_energy_J", readable(t.impact_energy_J)},
        {"absorbed_energy_J", readable(t.absorbed_energy_J)},
        {"returned_energy_J", readable(t.returned_energy_J)},
        {"returned_share", readable(t.returned_share)}};
    if (!striker.guided) {
        rows.push_back({"peak_side_force_N", readable(t.peak_side_force_N)});
        rows.push_back({"slide_speed_change_m_per_s", readable(t.slide_speed_change_m_per_s)});
    }
    if (striker.inertia_kg_m2 > 0.0) {
        rows.push_back({"peak_angular_acceleration_rad_per_s2",
                        readable(t.peak_angular_acceleration_rad_per_s2)});
        rows.push_back(
            {"angular_speed_change_rad_per_s", readable(t.angular_speed_change_rad_per_s)});
    }
    rows.push_back({"hic15", readable(injury.hic15)});
    rows.push_back({"hic36", readable(injury.hic36)});
    rows.push_back({"severity_index", readable(injury.severity_index)});
    return columns_text({"quantity ", "value"}, rows);
}

std::string drop_pulse_text(const DropRecord& record) {
    TextLine line{.label = "",
                  .x = record.history.time_s,
                  .y = record.history.filtered_acceleration_m_per_s2};
    for (double& time : line.x)
        time /= units::ms;
    for (double& acceleration : line.y)
        acceleration /= units::standard_gravity;
    return text_plot({line}, "ms", "acceleration [g], filtered");
}

std::vector<std::string> drop_notes(const DropRecord& record, const DropStriker& striker) {
    std::vector<std::string> notes;
    if (record.past_densification)
        notes.push_back("the pad was driven past its efficient depth: it densifies, and a slightly "
                        "harder blow gives much more force");
    if (record.end == DropEnd::TimeLimit)
        notes.push_back("the striker had not left the pad at the time limit: rebound and returned "
                        "energy are not known");
    if (record.channel_class_Hz > 0.0 && record.traits.pulse_s * record.channel_class_Hz < 3.0)
        notes.push_back(fmt::format("a pulse of {:.3g} ms is short for a filter of class {:g}, "
                                    "which rounds its peak; channel_class_Hz = 0 leaves it out",
                                    record.traits.pulse_s / units::ms, record.channel_class_Hz));
    if (striker.face == StrikerFace::Sphere)
        notes.push_back("a sphere strikes the struts below it: where it hits the cell changes the "
                        "numbers (offset_mm)");
    notes.push_back("a bare pad on a rigid support: no shell, no comfort layer, no straps, no body "
                    "that yields");
    return notes;
}

std::string against_text(const DropAgainstTable& compared, const std::string& table) {
    std::vector<std::vector<std::string>> rows;
    for (const ComparedTrait& each : compared.traits)
        rows.push_back(
            {each.field->readable_name, readable(each.drop / each.field->readable_unit),
             readable(each.table / each.field->readable_unit),
             std::isnan(each.difference) ? "-" : fmt::format("{:+.1f}", 100.0 * each.difference)});
    std::string text = fmt::format("the same blow from {}\n\n", table) +
                       columns_text({"quantity ", "drop", "table", "difference_%"}, rows) + "\n";
    const double largest = compared.largest_difference();
    if (compared.bottomed)
        text += "the table's pad bottoms: its numbers are no result\n";
    else if (std::isnan(largest))
        text += "the drop is not trusted: nothing is compared\n";
    else if (largest <= agreement_share)
        text += fmt::format("peak and depth agree within {:.1f} %\n", 100.0 * largest);
    else
        text +=
            fmt::format("peak or depth differ by {:.1f} %, more than {:g} %: for this blow trust "
                        "the table, and a choice made from it, no further than that\n",
                        100.0 * largest, 100.0 * agreement_share);
    for (const std::string& note : compared.notes)
        text += fmt::format("note      the table: {}\n", note);
    return text;
}

} // namespace cellgrade
