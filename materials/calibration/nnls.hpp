// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <Eigen/Core>

namespace cellgrade {

/// x >= 0 with the least |A x - b|, by the active-set method of Lawson and Hanson.
///
/// Source: Lawson & Hanson (1974), Solving Least Squares Problems, ch. 23, with QR solves.
/// Ends when no gradient is above 1e-12 of |A||b|, or after 3 n + 100 changes of the set.
[[nodiscard]] Eigen::VectorXd non_negative_least_squares(const Eigen::MatrixXd& A,
                                                         const Eigen::VectorXd& b);

} // namespace cellgrade
