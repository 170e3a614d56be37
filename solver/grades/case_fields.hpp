// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"

#include <span>

namespace cellgrade {

/// How one number of a case is called, for every file and table alike.
struct CaseField {
    const char* name;    ///< ends in its unit
    const char* units;   ///< "1" when dimensionless
    const char* meaning; ///< in plain words
    double GradeCase::*member;
};

/// All numbers of a case but its direction, in the order of every file.
[[nodiscard]] std::span<const CaseField> case_fields();

} // namespace cellgrade
