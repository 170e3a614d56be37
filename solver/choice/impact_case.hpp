// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/striker.hpp"
#include "solver/core/types.hpp"

#include <limits>
#include <string>
#include <vector>

namespace cellgrade {

/// A layer of lattice on a stiff backing.
struct Pad {
    double thickness_m = 0.0;
    double area_m2 = 0.0; ///< gross; columns beyond it carry nothing

    /// @throws Error (Input), key thickness_mm or area_mm2
    void check() const;
};

/// What must not be passed; NaN: no limit.
struct ImpactLimits {
    static constexpr double none = std::numeric_limits<double>::quiet_NaN();
    double peak_acceleration_g = none;
    double peak_force_N = none;
    double hic15 = none;
    double hic36 = none;
    double severity_index = none;
    double peak_angular_acceleration_rad_per_s2 = none;
    double bric = none;
};

/// Which axis of the head a slanting blow turns it about; Unknown counts as the most sensitive.
enum class HeadAxis { X, Y, Z, Unknown };

/// The part of a blow along the pad; a straight blow has speed 0.
struct ObliqueCase {
    double tangential_speed_m_per_s = 0.0;
    double friction = std::numeric_limits<double>::quiet_NaN();      ///< Coulomb coefficient [-]
    double inertia_kg_m2 = std::numeric_limits<double>::quiet_NaN(); ///< about the axis of the turn
    double lever_m =
        std::numeric_limits<double>::quiet_NaN(); ///< from the contact to the centre of mass
    HeadAxis axis = HeadAxis::Unknown;
};

/// One blow: a rigid body that strikes a pad at right angles, perhaps with a speed along it.
struct ImpactCase {
    std::string name;
    double mass_kg = 0.0;
    double speed_m_per_s = 0.0; ///< along the pad's normal
    Striker striker;
    bool with_weight = false; ///< whether gravity goes on to press
    Index hits = 1;           ///< one after another, on the same place, at the same speed
    /// Between hits: 0 nothing recovers, 1 the pad is as new.
    double recovery_share = 0.0;
    std::vector<double> temperatures_C; ///< one answer each; empty: the only one of the table
    ObliqueCase oblique;
    ImpactLimits limits;
    std::vector<std::string> sources; ///< of what was taken from presets

    /// @throws Error (Input) whose key names the value that is out of range
    void check() const;
};

} // namespace cellgrade
