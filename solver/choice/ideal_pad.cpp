// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/ideal_pad.hpp"

#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

double ideal_peak_g(double speed_m_per_s, double thickness_m) {
    return speed_m_per_s * speed_m_per_s / (2.0 * units::standard_gravity * thickness_m);
}

IdealPad ideal_pad(const ImpactCase& impact, double thickness_m) {
    IdealPad out;
    out.peak_acceleration_g = ideal_peak_g(impact.speed_m_per_s, thickness_m);
    out.peak_force_N = out.peak_acceleration_g * units::standard_gravity * impact.mass_kg;
    const auto need = [&](double peak, double limit) {
        if (std::isnan(limit))
            return;
        out.least_thickness_m = std::max(out.least_thickness_m, thickness_m * peak / limit);
        out.impossible = out.impossible || peak > limit;
    };
    need(out.peak_acceleration_g, impact.limits.peak_acceleration_g);
    need(out.peak_force_N, impact.limits.peak_force_N);
    return out;
}

} // namespace cellgrade
