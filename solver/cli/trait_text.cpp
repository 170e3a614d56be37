// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/trait_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/core/units.hpp"

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
