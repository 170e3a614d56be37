// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/trait_text.hpp"

#include "solver/cli/columns.hpp"
#include "solver/core/units.hpp"

#include <array>
#include <cmath>

namespace cellgrade {

std::span<const ReadableTrait> readable_traits() {
    constexpr double MJ_per_m3 = 1e6, J_per_g = 1e3;
    static constexpr std::array<ReadableTrait, 14> traits{
        {{"quasi_elastic_gradient_MPa", units::MPa, &CrushTraits::quasi_elastic_gradient_Pa},
         {"collapse_stress_MPa", units::MPa, &CrushTraits::collapse_stress_Pa},
         {"collapse_strain", 1.0, &CrushTraits::collapse_strain},
         {"plateau_stress_MPa", units::MPa, &CrushTraits::plateau_stress_Pa},
         {"plateau_end_strain", 1.0, &CrushTraits::plateau_end_strain},
         {"densification_strain", 1.0, &CrushTraits::densification_strain},
         {"densification_stress_MPa", units::MPa, &CrushTraits::densification_stress_Pa},
         {"energy_to_50_MJ_per_m3", MJ_per_m3, &CrushTraits::energy_to_50_J_per_m3},
         {"energy_MJ_per_m3", MJ_per_m3, &CrushTraits::energy_J_per_m3},
         {"sea_J_per_g", J_per_g, &CrushTraits::sea_J_per_kg},
         {"efficiency", 1.0, &CrushTraits::efficiency},
         {"ideality", 1.0, &CrushTraits::ideality},
         {"dissipated_fraction", 1.0, &CrushTraits::dissipated_fraction},
         {"residual_strain", 1.0, &CrushTraits::residual_strain}}};
    return traits;
}

std::string traits_text(const CrushTraits& t) {
    std::vector<std::vector<std::string>> rows;
    for (const ReadableTrait& trait : readable_traits())
        rows.push_back({trait.name, readable(t.*trait.member / trait.unit)});
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
