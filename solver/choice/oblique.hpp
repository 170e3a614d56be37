// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_case.hpp"
#include "solver/choice/impact_run.hpp"

#include <vector>

namespace cellgrade {

/// What a slanting blow does beside the straight one.
struct ObliqueMotion {
    std::vector<double> angular_speed_rad_per_s; ///< at the times of the hit
    std::vector<double> angular_acceleration_rad_per_s2;
    std::vector<double> tangential_speed_m_per_s; ///< of the centre of mass
    bool slips_throughout = true;                 ///< else it rolls from `grip_s` on
    double grip_s = std::numeric_limits<double>::quiet_NaN();
    double peak_angular_acceleration_rad_per_s2 = 0.0;
    double angular_speed_change_rad_per_s = 0.0;
};

/// A body that is thrown along the pad while it sinks in: Coulomb friction at the contact turns it
/// until the contact no longer slips,
///
///   m dv/dt = -mu F,   I dw/dt = mu F l,   as long as v - w l > 0;   no friction afterwards,
///
/// F the force of the straight blow, l the lever, w = 0 at the touch. If it grips,
/// w = v0 l / (l^2 + I / m), which for a uniform sphere is the 5 v0 / (7 l) of a ball that starts
/// to roll; if not, w = mu l / I integral of F.
///
/// The straight part goes through the centre of mass and feels nothing of this. The pad's
/// resistance to shear, which would go on turning a body that has gripped, is left out.
/// Source: rigid-body mechanics, e.g. Stronge (2000), Impact Mechanics, ch. 3 (from memory).
[[nodiscard]] ObliqueMotion
oblique_motion(const ImpactHistory& hit, double mass_kg, const ObliqueCase& oblique);

/// Brain injury criterion of a turn about one axis,
///
///   BrIC = w / w_c,   w_c = 66.25 (x, forward), 56.45 (y, to the side), 42.87 rad/s (z, upward)
///
/// An unknown axis counts as z, the most sensitive.
/// Source: Takhounts, Craig, Moorhouse, McFadden & Hasija (2013), Stapp Car Crash J. 57, 243;
/// critical angular speeds from memory.
[[nodiscard]] double brain_injury_criterion(double angular_speed_rad_per_s, HeadAxis axis);

} // namespace cellgrade
