// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"

#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// Recorded rows of a drop; all columns have equal length. The first row is the first touch. Forces
/// are means since the last row, all else is the state at the row.
struct DropHistory {
    std::vector<double> time_s;
    std::vector<double> height_m;              ///< of the striker's lowest point above the support
    std::vector<double> depth_m;               ///< of that point below the upper face of the pad
    std::vector<double> speed_m_per_s;         ///< of the striker into the pad
    std::vector<double> contact_force_N;       ///< of the pad on the striker, up
    std::vector<double> support_force_N;       ///< of the support on the pad, up
    std::vector<double> acceleration_m_per_s2; ///< contact force / mass: a free fall reads 0
    std::vector<double> filtered_acceleration_m_per_s2; ///< the same through the channel filter
    std::vector<double> slide_m;                        ///< of the striker along x
    std::vector<double> slide_speed_m_per_s;            ///< along x
    std::vector<double> side_force_N;                   ///< of the pad on the striker, along x
    std::vector<double> turn_rad;                       ///< about y
    std::vector<double> turn_rate_rad_per_s;
    std::vector<double> turn_acceleration_rad_per_s2; ///< mean since the last row
    std::vector<double> striker_energy_J;             ///< kinetic
    std::vector<double> kinetic_energy_J;             ///< of striker and pad
    std::vector<double> stored_energy_J;              ///< elastic, in the pad
    std::vector<double> viscous_energy_J;             ///< dissipated in the pad
    std::vector<double> contact_energy_J;             ///< stored in contact
    std::vector<double> friction_energy_J;            ///< dissipated by friction
    std::vector<double> external_work_J;   ///< kinetic energy at the touch and work of the weight
    std::vector<double> penetration_share; ///< deepest penetration / smaller radius of the pair [-]
    std::vector<double> step_s;            ///< solver step at the row
};

/// One column of a drop history.
struct DropHistoryField {
    const char* name; ///< ends in its unit, the member's name
    const char* units;
    std::vector<double> DropHistory::*member;
};

/// All columns in file order; the first, time_s, is the axis of the others.
[[nodiscard]] std::span<const DropHistoryField> drop_history_fields();

enum class DropEnd {
    Left,        ///< the striker is thrown back
    TimeLimit,   ///< it is still on the pad
    Failed,      ///< the run could not go on; `failure` says why
    Interrupted, ///< from outside
};

/// "left", "time_limit", "failed", "interrupted".
[[nodiscard]] std::string drop_end_name(DropEnd end);

/// What a drop tells; NaN: not known.
struct DropTraits {
    double peak_acceleration_g = 0.0;
    double peak_unfiltered_acceleration_g = 0.0;
    double peak_force_N = 0.0;
    double time_of_peak_s = 0.0;
    double largest_depth_m = 0.0;
    double largest_strain = 0.0;
    double time_of_largest_depth_s = 0.0;
    double efficient_depth_m = 0.0;
    double pulse_s = 0.0;
    double rebound_speed_m_per_s = 0.0;
    double restitution = 0.0;
    double impact_energy_J = 0.0;
    double absorbed_energy_J = 0.0;
    double returned_energy_J = 0.0;
    double returned_share = 0.0;
    double peak_side_force_N = 0.0;
    double slide_speed_change_m_per_s = 0.0;
    double peak_angular_acceleration_rad_per_s2 = 0.0;
    double angular_speed_change_rad_per_s = 0.0;
};

/// How one of them is called and what it is, for every file and table alike.
struct DropField {
    const char* name;  ///< ends in its unit, the member's name
    const char* units; ///< as written in files; "1" when dimensionless
    const char* meaning;
    double DropTraits::*member;
};

[[nodiscard]] std::span<const DropField> drop_fields();

/// Everything a drop leaves behind. A record that is not trusted() is not a result.
struct DropRecord {
    DropHistory history;
    DropTraits traits;
    std::vector<CrushFrame> frames; ///< of the pad; nominal strain is depth / height
    std::vector<GuardResult> guards;
    DropEnd end = DropEnd::Left;
    std::string failure;             ///< one line when end == Failed
    std::vector<std::string> notes;  ///< what the reader must know
    bool past_densification = false; ///< the pad was driven past its efficient depth

    PrintRecord print;
    double striker_mass_kg = 0.0; ///< that falls on the modelled pad
    double gross_area_m2 = 0.0;   ///< of the pad, initial
    double height_m = 0.0;        ///< of the pad, initial
    double pad_mass_kg = 0.0;
    double relative_density = 0.0;
    double solid_density_kg_per_m3 = 0.0;
    double channel_class_Hz = 0.0;
    double stable_step_s = 0.0; ///< element bound at the start
    double added_inertia_share =
        0.0; ///< rotary inertia of beams, added for the step / physical [-]
    Index steps = 0;
    Index elements = 0;
    Index nodes = 0;

    [[nodiscard]] bool trusted() const;
};

/// "trusted: ..." or "untrusted: ..." in plain words, with every enforced limit that was not met.
[[nodiscard]] std::string drop_verdict(const DropRecord& record);

} // namespace cellgrade
