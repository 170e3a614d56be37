// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/drop_record.hpp"

#include "solver/core/error.hpp"
#include "solver/crush/run_verdict.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace cellgrade {

std::span<const DropHistoryField> drop_history_fields() {
    static constexpr std::array<DropHistoryField, 23> fields{{
        {"time_s", "s", &DropHistory::time_s},
        {"height_m", "m", &DropHistory::height_m},
        {"depth_m", "m", &DropHistory::depth_m},
        {"speed_m_per_s", "m/s", &DropHistory::speed_m_per_s},
        {"contact_force_N", "N", &DropHistory::contact_force_N},
        {"support_force_N", "N", &DropHistory::support_force_N},
        {"acceleration_m_per_s2", "m/s^2", &DropHistory::acceleration_m_per_s2},
        {"filtered_acceleration_m_per_s2", "m/s^2", &DropHistory::filtered_acceleration_m_per_s2},
        {"slide_m", "m", &DropHistory::slide_m},
        {"slide_speed_m_per_s", "m/s", &DropHistory::slide_speed_m_per_s},
        {"side_force_N", "N", &DropHistory::side_force_N},
        {"turn_rad", "rad", &DropHistory::turn_rad},
        {"turn_rate_rad_per_s", "rad/s", &DropHistory::turn_rate_rad_per_s},
        {"turn_acceleration_rad_per_s2", "rad/s^2", &DropHistory::turn_acceleration_rad_per_s2},
        {"striker_energy_J", "J", &DropHistory::striker_energy_J},
        {"kinetic_energy_J", "J", &DropHistory::kinetic_energy_J},
        {"stored_energy_J", "J", &DropHistory::stored_energy_J},
        {"viscous_energy_J", "J", &DropHistory::viscous_energy_J},
        {"contact_energy_J", "J", &DropHistory::contact_energy_J},
        {"friction_energy_J", "J", &DropHistory::friction_energy_J},
        {"external_work_J", "J", &DropHistory::external_work_J},
        {"penetration_share", "1", &DropHistory::penetration_share},
        {"step_s", "s", &DropHistory::step_s},
    }};
    return fields;
}

std::string drop_end_name(DropEnd end) {
    switch (end) {
    case DropEnd::Left:
        return "left";
    case DropEnd::TimeLimit:
        return "time_limit";
    case DropEnd::Failed:
        return "failed";
    case DropEnd::Interrupted:
        return "interrupted";
    }
    throw input_error("unknown end of a drop");
}

std::span<const DropField> drop_fields() {
    static constexpr std::array<DropField, 19> fields{{
        {"peak_acceleration_g", "1",
         "largest contact force over mass in units of standard gravity, through the channel filter",
         &DropTraits::peak_acceleration_g},
        {"peak_unfiltered_acceleration_g", "1",
         "the same before the filter: means over single rows",
         &DropTraits::peak_unfiltered_acceleration_g},
        {"peak_force_N", "N", "largest filtered acceleration times mass",
         &DropTraits::peak_force_N},
        {"time_of_peak_s", "s", "of the filtered acceleration, from the first touch",
         &DropTraits::time_of_peak_s},
        {"largest_depth_m", "m", "of the striker's lowest point below the upper face of the pad",
         &DropTraits::largest_depth_m},
        {"largest_strain", "1", "largest depth over the height of the pad",
         &DropTraits::largest_strain},
        {"time_of_largest_depth_s", "s", "from the first touch",
         &DropTraits::time_of_largest_depth_s},
        {"efficient_depth_m", "m",
         "depth at which the work over the largest force so far is largest; the pad densifies "
         "past it",
         &DropTraits::efficient_depth_m},
        {"pulse_s", "s", "from the first to the last row above a hundredth of the peak force",
         &DropTraits::pulse_s},
        {"rebound_speed_m_per_s", "m/s", "out of the pad, when the striker leaves it",
         &DropTraits::rebound_speed_m_per_s},
        {"restitution", "1", "rebound speed over the speed into the pad at the first touch",
         &DropTraits::restitution},
        {"impact_energy_J", "J", "kinetic energy at the first touch", &DropTraits::impact_energy_J},
        {"absorbed_energy_J", "J", "largest work of the striker on the pad",
         &DropTraits::absorbed_energy_J},
        {"returned_energy_J", "J", "work of the pad on the striker from there to the end",
         &DropTraits::returned_energy_J},
        {"returned_share", "1", "returned over absorbed energy", &DropTraits::returned_share},
        {"peak_side_force_N", "N", "largest force along x on the striker, of a row",
         &DropTraits::peak_side_force_N},
        {"slide_speed_change_m_per_s", "m/s", "of the striker along x over the drop",
         &DropTraits::slide_speed_change_m_per_s},
        {"peak_angular_acceleration_rad_per_s2", "rad/s^2", "about y, largest row, not filtered",
         &DropTraits::peak_angular_acceleration_rad_per_s2},
        {"angular_speed_change_rad_per_s", "rad/s", "about y over the drop",
         &DropTraits::angular_speed_change_rad_per_s},
    }};
    return fields;
}

namespace {

RunEnd end_of(const DropRecord& record) {
    return {.failed = record.end == DropEnd::Failed,
            .failure = record.failure,
            .interrupted = record.end == DropEnd::Interrupted,
            .guards = record.guards};
}

} // namespace

bool DropRecord::trusted() const {
    return is_trusted(end_of(*this));
}

std::string drop_verdict(const DropRecord& record) {
    return run_verdict(end_of(record));
}

} // namespace cellgrade
