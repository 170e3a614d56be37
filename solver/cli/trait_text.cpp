// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/trait_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/core/units.hpp"

#include <cmath>

namespace cellgrade {

std::string traits_text(const CrushTraits& t) {
    constexpr double MJ_per_m3 = 1e6, J_per_g = 1e3;
    const std::vector<std::vector<std::string>> rows{
        {"quasi_elastic_gradient_MPa", readable(t.quasi_elastic_gradient_Pa / units::MPa)},
        {"collapse_stress_MPa", readable(t.collapse_stress_Pa / units::MPa)},
        {"collapse_strain", readable(t.collapse_strain)},
        {"plateau_stress_MPa", readable(t.plateau_stress_Pa / units::MPa)},
        {"plateau_end_strain", readable(t.plateau_end_strain)},
        {"densification_strain", readable(t.densification_strain)},
        {"densification_stress_MPa", readable(t.densification_stress_Pa / units::MPa)},
        {"energy_to_50_MJ_per_m3", readable(t.energy_to_50_J_per_m3 / MJ_per_m3)},
        {"energy_MJ_per_m3", readable(t.energy_J_per_m3 / MJ_per_m3)},
        {"sea_J_per_g", readable(t.sea_J_per_kg / J_per_g)},
        {"efficiency", readable(t.efficiency)},
        {"ideality", readable(t.ideality)},
        {"dissipated_fraction", readable(t.dissipated_fraction)},
        {"residual_strain", readable(t.residual_strain)}};
    return columns_text({"trait ", "value"}, rows);
}

std::string shear_text(const ShearTraits& t) {
    if (std::isnan(t.shear_strength_Pa))
        return "";
    const std::vector<std::vector<std::string>> rows{
        {"shear_modulus_MPa", readable(t.shear_modulus_Pa / units::MPa)},
        {"shear_stress_at_quarter_MPa", readable(t.shear_stress_at_quarter_Pa / units::MPa)},
        {"shear_strength_MPa", readable(t.shear_strength_Pa / units::MPa)},
        {"shear_strain_at_strength", readable(t.shear_strain_at_strength)},
        {"shear_energy_MJ_per_m3", readable(t.shear_energy_J_per_m3 / 1e6)},
        {"normal_stress_before_MPa", readable(t.normal_stress_before_Pa / units::MPa)},
        {"normal_stress_after_MPa", readable(t.normal_stress_after_Pa / units::MPa)}};
    return columns_text({"shear trait ", "value"}, rows);
}

std::string guards_text(const std::vector<GuardResult>& guards) {
    std::vector<std::vector<std::string>> rows;
    for (const GuardResult& guard : guards)
        rows.push_back({guard.name, readable(guard.value, 3), readable(guard.limit, 3),
                        guard.met        ? "met"
                        : guard.enforced ? "BROKEN"
                                         : "passed over (reported only)"});
    return columns_text({"guard ", "reached", "limit", "verdict "}, rows);
}

} // namespace cellgrade
