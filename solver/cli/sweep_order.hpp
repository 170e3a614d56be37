// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"

#include <cstddef>
#include <span>
#include <vector>

namespace cellgrade {

/// The order in which the cases of a sweep tell most: a permutation of 0 .. n - 1.
///
/// Along densities, temperatures, rates and precompressions the two ends come first, then the
/// middle, then the middles between: a table stopped half way spans its range and is refined by
/// what follows. Straight crush comes before shear and oblique paths, the first direction before
/// the others. Cells are told together: every cell gets its first case before any gets its second.
/// Cases of one rank keep the order of the study.
[[nodiscard]] std::vector<std::size_t> telling_order(std::span<const GradeCase> cases);

} // namespace cellgrade
