// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_curves.hpp"
#include "solver/grades/grade_table.hpp"

#include <string>

namespace cellgrade {

/// What a table tells against its own curves, for the notes of what is computed from them.
struct TableCaveats {
    /// Parts of the uncertainty of plateau stress and energy that were not estimated: "mesh,
    /// print"; "all" where nothing was, empty where all was.
    std::string not_estimated;
    /// Which curves left what their polymer card was measured for: "3 of 6 curves, the first:
    /// nominal strain rate 100 1/s (card: 0.01 to 11 1/s)"; empty where none did.
    std::string outside_card;
};

/// Of the rows of one selection. Rows that are not trusted do not count for `outside_card`.
[[nodiscard]] TableCaveats table_caveats(const GradeTable& table, const GradeSelection& selection);

} // namespace cellgrade
