// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/column_path.hpp"
#include "solver/homogenize/grade_law.hpp"

#include <vector>

namespace cellgrade {

/// Rows of a test as the column sees them, with the stress to compare.
struct TestRows {
    std::vector<ColumnMoment> path;
    std::vector<double> stress; ///< of pressing, or of shear [Pa]
    std::size_t turn = 0;       ///< first row of unloading, or of shear
};

/// The loading in `rows` even steps.
[[nodiscard]] TestRows loading_rows(const GradeTest& test, std::size_t rows);

/// Loading in `rows`, then the unloading rows thinned to about as many.
[[nodiscard]] TestRows cycle_rows(const GradeTest& test, std::size_t rows);

/// Pressed to its height, then sheared: all rows of the curve, thinned to about `rows`.
/// @throws Error (Input) for a rate that is not above 0, or a test without shear
[[nodiscard]] TestRows shear_rows(const GradeTest& test, std::size_t rows);

/// @throws Error (Input) that names the test, for a rate or a strain that is none
void check_pressed(const GradeTest& test);

} // namespace cellgrade
