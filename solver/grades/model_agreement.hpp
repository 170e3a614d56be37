// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"

#include <string>

namespace cellgrade {

/// One grade crushed as beams and as a solid: what the beams say over what the solid says, less 1.
struct ModelAgreement {
    GradeCase grade;          ///< of the solid
    double slenderness = 0.0; ///< shortest strut over largest diameter [-]
    bool trusted = false;     ///< both runs
    double stiffness = 0.0;   ///< quasi-elastic gradients [-]
    double collapse = 0.0;    ///< collapse stresses [-]
    double plateau = 0.0;     ///< plateau stresses [-]
    double sea = 0.0;         ///< energies per mass to 50 % strain [-]
};

/// NaN where a trait is not known on one side. The rows are of the same cell, density and rate.
[[nodiscard]] ModelAgreement
agreement_of(const GradeRow& beams, const GradeRow& solid, double slenderness);

/// The narrowest of "5 %", "10 %", "20 %" that holds the difference, else "apart"; "-" for NaN.
[[nodiscard]] std::string agreement_class(double difference);

/// agreement_class() of the worst of the four; "-" when none is known.
[[nodiscard]] std::string worst_class(const ModelAgreement& agreement);

} // namespace cellgrade
