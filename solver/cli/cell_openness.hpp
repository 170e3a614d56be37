// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/candidate.hpp"

#include <optional>

namespace cellgrade {

/// Fills view and opening of a grade of a built-in cell; of others nothing is known. A table does
/// not hold the cell's size: the opening follows from the strut's diameter. Half a second.
void describe_openness(ChoiceGrade& grade);

/// Edge along x of the built-in strut cell whose struts have the grade's diameter at its density
/// [m].
[[nodiscard]] std::optional<double> edge_of_grade(const ChoiceGrade& grade);

} // namespace cellgrade
