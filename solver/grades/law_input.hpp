// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/homogenize/grade_law.hpp"

#include <optional>
#include <string>

namespace cellgrade {

/// Which grade of a table a law is wanted of; what is left out must be the same in all rows that
/// are left, or the slowest of them.
struct GradeChoice {
    std::string cell;
    double relative_density = 0.0;
    std::optional<std::string> direction;    ///< "[001]"; unset: of the only one, else [001]
    std::optional<double> strain_rate_per_s; ///< of the fitted curve; unset: the slowest
    std::optional<double> temperature_C;
};

/// The trusted quasi-static rows of a grade as input of fit_grade_law: the compression of the
/// chosen rate, shear tests of that rate, and compressions of the other rates to compare with.
/// Impacts are left out: their curves carry inertia.
/// @param polymer  card of the grades, at their temperature; its relaxation becomes the law's
/// @throws Error (Input) that names what the table has, when there is no such grade
[[nodiscard]] GradeLawInput
law_input(const GradeTable& table, const GradeChoice& choice, const PolymerCard& polymer);

/// The first row of the choice; Errors as above. Tells polymer and temperature.
[[nodiscard]] const GradeRow& chosen_row(const GradeTable& table, const GradeChoice& choice);

} // namespace cellgrade
