// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/trait_fields.hpp"

#include <array>

namespace cellgrade {

std::span<const TraitField> trait_fields() {
    static const std::array<TraitField, 14> fields{{
        {"quasi_elastic_gradient_Pa", "Pa", "slope of the first, nearly straight part",
         &CrushTraits::quasi_elastic_gradient_Pa},
        {"collapse_stress_Pa", "Pa", "first maximum, or end of the straight part",
         &CrushTraits::collapse_stress_Pa},
        {"collapse_strain", "1", "nominal strain at the collapse stress",
         &CrushTraits::collapse_strain},
        {"plateau_stress_Pa", "Pa", "mean stress from 20 to 40 % strain",
         &CrushTraits::plateau_stress_Pa},
        {"plateau_end_strain", "1", "strain where the stress reaches 1.3 plateau stresses",
         &CrushTraits::plateau_end_strain},
        {"densification_strain", "1", "strain of the last maximum of the energy efficiency",
         &CrushTraits::densification_strain},
        {"densification_stress_Pa", "Pa", "stress at the densification strain",
         &CrushTraits::densification_stress_Pa},
        {"energy_to_50_J_per_m3", "J/m^3", "energy per gross volume up to 50 % strain",
         &CrushTraits::energy_to_50_J_per_m3},
        {"energy_J_per_m3", "J/m^3", "energy per gross volume up to the densification strain",
         &CrushTraits::energy_J_per_m3},
        {"sea_J_per_kg", "J/kg", "energy per mass up to the densification strain",
         &CrushTraits::sea_J_per_kg},
        {"efficiency", "1", "largest energy per volume / stress", &CrushTraits::efficiency},
        {"ideality", "1", "energy / (largest stress x strain) at the densification strain",
         &CrushTraits::ideality},
        {"dissipated_fraction", "1", "area of the loading-unloading loop / loading energy",
         &CrushTraits::dissipated_fraction},
        {"residual_strain", "1", "strain at zero stress on unloading",
         &CrushTraits::residual_strain},
    }};
    return fields;
}

} // namespace cellgrade
