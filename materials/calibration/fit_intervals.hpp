// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/least_squares.hpp"

#include <Eigen/Core>

#include <string>
#include <vector>

namespace cellgrade {

/// What the data say of each variable of a fit.
struct FitIntervals {
    std::vector<double> low, high; ///< SI
    std::vector<bool> determined;
    Eigen::MatrixXd covariance; ///< on the natural scale
    Eigen::MatrixXd correlation;
    std::vector<std::string> undetermined; ///< a sentence a direction
};

/// Intervals of a least-squares solution: formulae at fit_elastic.
///
/// A direction counts as not determined where a singular value of the Jacobian, its columns brought
/// to length 1, is below 1e-3 of the largest: the data then change by less than a thousandth of
/// what they change elsewhere. It is named by the parameters that make up most of it, and left out
/// of the inverse; the parameters in it have no interval (-inf, inf or 0, inf).
/// @param keys   names of the variables
/// @param ends   one past the last residual of each curve
[[nodiscard]] FitIntervals fit_intervals(const std::vector<FitVariable>& variables,
                                         const std::vector<std::string>& keys,
                                         const LeastSquares& solution,
                                         const std::vector<Eigen::Index>& ends,
                                         double level);

} // namespace cellgrade
