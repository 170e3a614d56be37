// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/curve_branch.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Mean and standard deviation of repeated measurements at equal strain, one branch.
struct Corridor {
    CurveBranch mean;                 ///< over the strain that all repeats cover
    std::vector<double> deviation_Pa; ///< of the sample (n - 1), one a strain; NaN of one repeat
};

/// At least one branch; the mean is exact, since all repeats are straight between its strains.
/// @throws Error (Input) when the repeats have no strain in common
[[nodiscard]] Corridor corridor_of(std::span<const CurveBranch> repeats);

/// Share of a range of strain over which the branch runs between mean - k deviations and
/// mean + k deviations, both taken as straight lines between the strains of corridor and branch.
/// NaN of one repeat.
/// @param deviations k [-]
[[nodiscard]] double share_inside(const Corridor& corridor,
                                  const CurveBranch& branch,
                                  const StrainRange& range,
                                  double deviations);

} // namespace cellgrade
