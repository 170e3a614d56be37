// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/uncertainty_choice.hpp"
#include "solver/grades/grade_table.hpp"

#include <string>

namespace cellgrade {

/// "0.0361 ± 0.0012": a value with its standard uncertainty, which gets two digits, the value as
/// many places (GUM 7.2.6). Without uncertainty (NaN) the value as by readable().
[[nodiscard]] std::string with_doubt(double value, double doubt, int digits = 4);

/// The same for a trait of a row, both over `unit`.
[[nodiscard]] std::string
trait_with_doubt(const GradeRow& row, double CrushTraits::*member, double unit, int digits = 4);

/// What `warning` of a row says of its uncertainty; empty when it says nothing of it.
[[nodiscard]] std::string uncertainty_note(const GradeRow& row);
/// What it says beside that.
[[nodiscard]] std::string other_warning(const GradeRow& row);

/// For people: parts of each row as shares of one trait, what was not estimated and why; where
/// nothing was, the guard nearest its limit.
[[nodiscard]] std::string doubts_text(const UncertaintyChoice& choice, const GradeTable& table);

} // namespace cellgrade
