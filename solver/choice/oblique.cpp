// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/oblique.hpp"

#include <algorithm>

namespace cellgrade {

ObliqueMotion oblique_motion(const ImpactHistory& hit, double mass_kg, const ObliqueCase& oblique) {
    const double mu = oblique.friction, l = oblique.lever_m, I = oblique.inertia_kg_m2;
    const double slowing = mu * (1.0 / mass_kg + l * l / I); // of the slip, over the impulse
    const double v0 = oblique.tangential_speed_m_per_s;
    ObliqueMotion motion;
    double impulse = 0.0; // that friction has used
    bool gripped = false;
    for (std::size_t i = 0; i < hit.time_s.size(); ++i) {
        if (i > 0 && !gripped) {
            const double dt = hit.time_s[i] - hit.time_s[i - 1];
            const double more = 0.5 * (hit.force_N[i - 1] + hit.force_N[i]) * dt;
            if (slowing * (impulse + more) >= v0) {
                const double needed = v0 / slowing - impulse;
                gripped = true;
                motion.slips_throughout = false;
                motion.grip_s = hit.time_s[i - 1] + (more > 0.0 ? needed / more : 1.0) * dt;
                impulse = v0 / slowing;
            } else {
                impulse += more;
            }
        }
        const double turning = gripped ? 0.0 : mu * l / I * hit.force_N[i];
        motion.angular_acceleration_rad_per_s2.push_back(turning);
        motion.angular_speed_rad_per_s.push_back(mu * l / I * impulse);
        motion.tangential_speed_m_per_s.push_back(v0 - mu / mass_kg * impulse);
        motion.peak_angular_acceleration_rad_per_s2 =
            std::max(motion.peak_angular_acceleration_rad_per_s2, turning);
    }
    motion.angular_speed_change_rad_per_s =
        motion.angular_speed_rad_per_s.empty() ? 0.0 : motion.angular_speed_rad_per_s.back();
    return motion;
}

double brain_injury_criterion(double angular_speed_rad_per_s, HeadAxis axis) {
    switch (axis) {
    case HeadAxis::X:
        return angular_speed_rad_per_s / 66.25;
    case HeadAxis::Y:
        return angular_speed_rad_per_s / 56.45;
    case HeadAxis::Z:
    case HeadAxis::Unknown:
        break;
    }
    return angular_speed_rad_per_s / 42.87;
}

} // namespace cellgrade
