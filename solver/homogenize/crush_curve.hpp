// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <limits>
#include <vector>

namespace cellgrade {

/// Nominal stress over nominal strain, compression positive; loading first, unloading after.
struct CrushCurve {
    std::vector<double> nominal_strain;    ///< shortening / initial height [-]
    std::vector<double> nominal_stress_Pa; ///< force / initial gross area
    Index turn = 0; ///< first row of the unloading branch; size() when there is none
    std::vector<double> shear_strain;    ///< sideways way of the platen / height; empty: none
    std::vector<double> shear_stress_Pa; ///< sideways force / initial gross area; empty: none
};

/// What a curve with shear tells beside its crush traits; NaN where it does not reach far enough.
/// Definitions stand in shear_traits.cpp; sources: none, common practice.
struct ShearTraits {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    double shear_modulus_Pa = unknown;           ///< slope of the line up to 5 % shear strain
    double shear_stress_at_quarter_Pa = unknown; ///< at a shear strain of 0.25
    double shear_strength_Pa = unknown;          ///< largest shear stress
    double shear_strain_at_strength = unknown;
    double shear_energy_J_per_m3 =
        unknown; ///< integral of shear stress over shear strain, to its end
    double normal_stress_before_Pa = unknown; ///< when shearing begins
    double normal_stress_after_Pa = unknown;  ///< at the largest shear strain
};

/// What the traits need beside the curve; NaN where unknown (then SEA is NaN).
struct SpecimenMass {
    double relative_density = 0.0;        ///< [-]
    double solid_density_kg_per_m3 = 0.0; ///< SEA = W / (relative density x solid density)
};

/// Crush traits; NaN where the curve does not reach far enough to tell. Definitions and their
/// sources stand in crush_traits.cpp and are repeated as text by `trait_definitions()`.
struct CrushTraits {
    double quasi_elastic_gradient_Pa = 0.0;
    double collapse_stress_Pa = 0.0;
    double collapse_strain = 0.0;
    double plateau_stress_Pa = 0.0;    ///< mean over 20-40 % strain
    double plateau_end_strain = 0.0;   ///< stress = 1.3 x plateau stress
    double densification_strain = 0.0; ///< last maximum of the efficiency
    double densification_stress_Pa = 0.0;
    double energy_to_50_J_per_m3 = 0.0; ///< to 50 % strain
    double energy_J_per_m3 = 0.0;       ///< to the densification strain (limit stored beside it)
    double sea_J_per_kg = 0.0;          ///< energy_J_per_m3 / density of the grade
    double efficiency = 0.0;            ///< maximum: energy / stress [-]
    double ideality = 0.0;              ///< energy / (largest stress x strain) at densification [-]
    double dissipated_fraction = 0.0;   ///< loop area / loading energy, NaN without unloading
    double residual_strain = 0.0;       ///< at zero stress on unloading, NaN without unloading
};

} // namespace cellgrade
