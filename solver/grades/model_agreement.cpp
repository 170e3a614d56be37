// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/model_agreement.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

ModelAgreement agreement_of(const GradeRow& beams, const GradeRow& solid, double slenderness) {
    CELLGRADE_ASSERT(beams.grade.cell == solid.grade.cell);
    const auto over = [&](double CrushTraits::*trait) {
        return beams.traits.*trait / (solid.traits.*trait) - 1.0;
    };
    return {.grade = solid.grade,
            .slenderness = slenderness,
            .trusted = beams.status == "trusted" && solid.status == "trusted",
            .stiffness = over(&CrushTraits::quasi_elastic_gradient_Pa),
            .collapse = over(&CrushTraits::collapse_stress_Pa),
            .plateau = over(&CrushTraits::plateau_stress_Pa),
            .sea = over(&CrushTraits::energy_to_50_J_per_m3)};
}

std::string agreement_class(double difference) {
    if (std::isnan(difference))
        return "-";
    const double size = std::abs(difference);
    return size <= 0.05 ? "5 %" : size <= 0.1 ? "10 %" : size <= 0.2 ? "20 %" : "apart";
}

std::string worst_class(const ModelAgreement& agreement) {
    double worst = std::numeric_limits<double>::quiet_NaN();
    for (const double each :
         {agreement.stiffness, agreement.collapse, agreement.plateau, agreement.sea})
        worst = std::fmax(worst, std::abs(each));
    return agreement_class(worst);
}

} // namespace cellgrade
