// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/case_fields.hpp"

#include <array>

namespace cellgrade {

std::span<const CaseField> case_fields() {
    static constexpr std::array<CaseField, 7> fields{{
        {"relative_density", "1", "solid volume / cell volume, as asked for",
         &GradeCase::relative_density},
        {"strut_diameter_m", "m", "of the struts as drawn", &GradeCase::strut_diameter_m},
        {"speed_m_per_s", "m/s", "of the platen; absent for a case given by its strain rate",
         &GradeCase::speed_m_per_s},
        {"strain_rate_per_s", "1/s", "nominal: speed of the platen / height of the specimen",
         &GradeCase::strain_rate_per_s},
        {"temperature_C", "degC", "of the polymer; absent: the temperature its card is made for",
         &GradeCase::temperature_C},
        {"precompression", "1", "nominal strain that is held while the specimen is sheared",
         &GradeCase::precompression},
        {"path_angle_deg", "degree", "between the path of the platen and its normal",
         &GradeCase::path_angle_deg},
    }};
    return fields;
}

std::span<const ShearField> shear_fields() {
    static constexpr std::array<ShearField, 7> fields{{
        {"shear_modulus_Pa", "Pa",
         "steepest secant of the first part of shear stress over shear "
         "strain",
         &ShearTraits::shear_modulus_Pa},
        {"shear_stress_at_quarter_Pa", "Pa", "shear stress at a shear strain of 0.25",
         &ShearTraits::shear_stress_at_quarter_Pa},
        {"shear_strength_Pa", "Pa", "largest shear stress", &ShearTraits::shear_strength_Pa},
        {"shear_strain_at_strength", "1", "shear strain at the largest shear stress",
         &ShearTraits::shear_strain_at_strength},
        {"shear_energy_J_per_m3", "J/m^3",
         "area under shear stress over shear strain, to the end of the curve",
         &ShearTraits::shear_energy_J_per_m3},
        {"normal_stress_before_Pa", "Pa", "normal stress when shearing begins",
         &ShearTraits::normal_stress_before_Pa},
        {"normal_stress_after_Pa", "Pa", "normal stress at the largest shear strain",
         &ShearTraits::normal_stress_after_Pa},
    }};
    static_assert(sizeof(ShearTraits) == fields.size() * sizeof(double), "one entry a trait");
    return fields;
}

} // namespace cellgrade
