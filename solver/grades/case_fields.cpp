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

} // namespace cellgrade
