// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_traits.hpp"

#include "solver/choice/oblique.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <array>

namespace cellgrade {

namespace {

constexpr double kN = 1e3;
constexpr const char* mechanics = "mechanics";
constexpr const char* custom = "common practice, no source";
constexpr const char* hic_source = "Versace (1971); 49 CFR 571.208 S6.2";

} // namespace

std::span<const ImpactField> impact_fields() {
    using T = ImpactTraits;
    using L = ImpactLimits;
    static constexpr std::array<ImpactField, 16> fields{{
        {"peak_acceleration_g", "g", "peak_acceleration_g", 1.0,
         "largest force / mass, in 9.80665 m/s^2, as an accelerometer on the body reads it",
         mechanics, &T::peak_acceleration_g, &L::peak_acceleration_g},
        {"peak_force_N", "N", "peak_force_kN", kN, "largest force of the pad", mechanics,
         &T::peak_force_N, &L::peak_force_N},
        {"largest_depth_m", "m", "largest_depth_mm", units::mm, "how far the body sinks in",
         mechanics, &T::largest_depth_m, nullptr},
        {"largest_strain", "1", "largest_strain", 1.0, "of the deepest column, depth / thickness",
         mechanics, &T::largest_strain, nullptr},
        {"pulse_s", "s", "pulse_ms", units::ms, "from the touch until the pad no longer pushes",
         custom, &T::pulse_s, nullptr},
        {"rebound_speed_m_per_s", "m/s", "rebound_speed_m_per_s", 1.0, "at the end of the pulse",
         mechanics, &T::rebound_speed_m_per_s, nullptr},
        {"restitution", "1", "restitution", 1.0, "rebound speed / speed", mechanics,
         &T::restitution, nullptr},
        {"impact_energy_J", "J", "impact_energy_J", 1.0, "1/2 m v^2 at the touch", mechanics,
         &T::impact_energy_J, nullptr},
        {"absorbed_energy_J", "J", "absorbed_energy_J", 1.0, "work done on the pad up to the turn",
         mechanics, &T::absorbed_energy_J, nullptr},
        {"returned_energy_J", "J", "returned_energy_J", 1.0, "work that the pad gives back",
         mechanics, &T::returned_energy_J, nullptr},
        {"hic15", "s", "hic15", 1.0, "head injury criterion, windows up to 15 ms", hic_source,
         &T::hic15, &L::hic15},
        {"hic36", "s", "hic36", 1.0, "head injury criterion, windows up to 36 ms", hic_source,
         &T::hic36, &L::hic36},
        {"severity_index", "s", "severity_index", 1.0, "integral of acceleration^2.5",
         "Gadd (1966)", &T::severity_index, &L::severity_index},
        {"peak_angular_acceleration_rad_per_s2", "rad/s^2", "peak_angular_acceleration_rad_per_s2",
         1.0, "while friction turns the body", mechanics, &T::peak_angular_acceleration_rad_per_s2,
         &L::peak_angular_acceleration_rad_per_s2},
        {"angular_speed_change_rad_per_s", "rad/s", "angular_speed_change_rad_per_s", 1.0,
         "over the pulse", mechanics, &T::angular_speed_change_rad_per_s, nullptr},
        {"bric", "1", "bric", 1.0, "angular speed / critical angular speed of the axis",
         "Takhounts et al. (2013), critical values from memory", &T::bric, &L::bric},
    }};
    return fields;
}

AccelerationPulse accelerometer(const ImpactHistory& hit, double mass_kg) {
    AccelerationPulse pulse{.time_s = hit.time_s, .acceleration_g = {}};
    for (const double force : hit.force_N)
        pulse.acceleration_g.push_back(force / mass_kg / units::standard_gravity);
    return pulse;
}

ImpactTraits impact_traits(const ImpactRun& run, const ImpactCase& impact) {
    const ImpactHistory& hit = run.history;
    const AccelerationPulse pulse = accelerometer(hit, impact.mass_kg);
    ImpactTraits t;
    t.peak_force_N = *std::max_element(hit.force_N.begin(), hit.force_N.end());
    t.peak_acceleration_g = t.peak_force_N / impact.mass_kg / units::standard_gravity;
    t.largest_depth_m = *std::max_element(hit.depth_m.begin(), hit.depth_m.end());
    t.largest_strain = run.largest_strain;
    t.pulse_s = hit.time_s.back() - hit.time_s.front();
    t.rebound_speed_m_per_s = run.rebound_speed_m_per_s;
    t.restitution = run.rebound_speed_m_per_s / impact.speed_m_per_s;
    t.impact_energy_J = 0.5 * impact.mass_kg * impact.speed_m_per_s * impact.speed_m_per_s;
    t.absorbed_energy_J = run.work_in_J;
    t.returned_energy_J = run.work_back_J;
    t.hic15 = head_injury_criterion(pulse, hic15_window_s).value;
    t.hic36 = head_injury_criterion(pulse, hic36_window_s).value;
    t.severity_index = severity_index(pulse);
    if (impact.oblique.tangential_speed_m_per_s > 0.0) {
        const ObliqueMotion turn = oblique_motion(hit, impact.mass_kg, impact.oblique);
        t.peak_angular_acceleration_rad_per_s2 = turn.peak_angular_acceleration_rad_per_s2;
        t.angular_speed_change_rad_per_s = turn.angular_speed_change_rad_per_s;
        t.bric = brain_injury_criterion(turn.angular_speed_change_rad_per_s, impact.oblique.axis);
    }
    return t;
}

} // namespace cellgrade
