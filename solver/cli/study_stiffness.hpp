// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/study_sweep.hpp"
#include "solver/core/log.hpp"
#include "solver/grades/grade_table.hpp"

#include <filesystem>
#include <vector>

namespace cellgrade {

/// Stiffness tensors of the endless lattices of a sweep, one a cell, density and direction, in the
/// order of the cases: of the frame where a case is of beams, of tetrahedra where it is a solid.
/// With the polymer's modulus at the rate of the first such case, struts and walls as printed.
///
/// Tensors are kept in `folder` by the key of that case, since one of a solid takes up to a minute.
/// A lattice that has none (a mechanism, graded layers) is left out, and the log says so.
[[nodiscard]] std::vector<GradeStiffness>
sweep_stiffness(const StudySweep& sweep, const std::filesystem::path& folder, const Log& log);

} // namespace cellgrade
