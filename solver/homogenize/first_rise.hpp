// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/loading_branch.hpp"

#include <vector>

namespace cellgrade {

/// A point of a curve.
struct CurvePoint {
    double strain = 0.0;
    double stress_Pa = 0.0;
};

/// Rows of the first rise between two stresses, with the crossings themselves as end points; empty
/// when the upper one is not reached.
[[nodiscard]] std::vector<CurvePoint>
first_rise(const LoadingBranch& branch, double low_Pa, double high_Pa);

} // namespace cellgrade
