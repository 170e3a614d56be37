// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_case.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

namespace cellgrade {

namespace {

/// Bounds that no pad or blow of protective padding comes near; past them a unit was mistaken.
void within(const char* key, double value, double low, double high) {
    if (!(value >= low && value <= high))
        throw Error(Fault::Input,
                    fmt::format("{:g} is out of range; {:g} to {:g} is allowed", value, low, high),
                    {.key = key});
}

void check_limit(const char* key, double limit) {
    if (limit <= 0.0) // NaN: none
        throw Error(Fault::Input, fmt::format("limit {:g} must be above 0", limit), {.key = key});
}

} // namespace

void Pad::check() const {
    within("thickness_mm", thickness_m / units::mm, 0.1, 1e3);
    within("area_mm2", area_m2 / (units::mm * units::mm), 1.0, 1e7);
}

void ImpactCase::check() const {
    within("mass_kg", mass_kg, 1e-3, 1e3);
    within("speed_m_per_s", speed_m_per_s, 1e-2, 100.0);
    within("hits", hits, 1, 10);
    within("recovery_share", recovery_share, 0.0, 1.0);
    striker.check();
    within("tangential_speed_m_per_s", oblique.tangential_speed_m_per_s, 0.0, 100.0);
    if (oblique.tangential_speed_m_per_s > 0.0) {
        within("friction", oblique.friction, 0.0, 2.0);
        within("inertia_kg_m2", oblique.inertia_kg_m2, 1e-7, 100.0);
        within("lever_mm", oblique.lever_m / units::mm, 0.1, 1e4);
    }
    check_limit("peak_acceleration_g", limits.peak_acceleration_g);
    check_limit("peak_force_kN", limits.peak_force_N);
    check_limit("hic15", limits.hic15);
    check_limit("hic36", limits.hic36);
    check_limit("severity_index", limits.severity_index);
    check_limit("peak_angular_acceleration_rad_per_s2",
                limits.peak_angular_acceleration_rad_per_s2);
    check_limit("bric", limits.bric);
}

} // namespace cellgrade
