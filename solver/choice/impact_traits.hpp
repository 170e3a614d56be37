// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_case.hpp"
#include "solver/choice/impact_run.hpp"
#include "solver/choice/injury.hpp"

#include <limits>
#include <span>
#include <string>

namespace cellgrade {

/// What one hit tells; NaN: not asked for, or not known.
struct ImpactTraits {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    double peak_acceleration_g = unknown;
    double peak_force_N = unknown;
    double largest_depth_m = unknown;
    double largest_strain = unknown;
    double pulse_s = unknown;
    double rebound_speed_m_per_s = unknown;
    double restitution = unknown;
    double impact_energy_J = unknown;
    double absorbed_energy_J = unknown;
    double returned_energy_J = unknown;
    double hic15 = unknown;
    double hic36 = unknown;
    double severity_index = unknown;
    double peak_angular_acceleration_rad_per_s2 = unknown;
    double angular_speed_change_rad_per_s = unknown;
    double bric = unknown;
};

/// How one of them is called and what it is, for every file and table alike.
struct ImpactField {
    const char* name;          ///< ends in its unit, the member's name
    const char* units;         ///< as written in files; "1" when dimensionless
    const char* readable_name; ///< with a unit of handy size
    double readable_unit;      ///< one of those in SI
    const char* meaning;
    const char* source;
    double ImpactTraits::*member;
    double ImpactLimits::*limit; ///< null: no rule limits it
};

[[nodiscard]] std::span<const ImpactField> impact_fields();

/// The pulse that an accelerometer on the body reads, force / mass in g; falling freely it reads 0.
[[nodiscard]] AccelerationPulse accelerometer(const ImpactHistory& hit, double mass_kg);

/// All traits of a hit; those of a turn where the blow slants.
[[nodiscard]] ImpactTraits impact_traits(const ImpactRun& run, const ImpactCase& impact);

} // namespace cellgrade
