// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/grade_response.hpp"

namespace cellgrade {

/// How far thinned curves may be from the full ones: of the stress there, and below a thousandth of
/// the largest stress of that; shares of a return are off by it outright, and 0 stays 0.
inline constexpr double thinned_share = 3e-4;

/// The same curves over fewer strains, so that a page can carry them. A table with three rates has
/// twelve thousand knots a grade, since interpolation joins the strains of all its crushes;
/// straight lines between some hundred of them say the same.
[[nodiscard]] GradeResponse::Knots thinned_knots(const GradeResponse::Knots& knots);

} // namespace cellgrade
