// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/tet_block.hpp"

namespace cellgrade {

using Mat30 = Eigen::Matrix<double, 30, 30>;

/// Stiffness at rest of element e, the derivative of minus tet_forces, small displacements:
///
///   K = sum_q w_q [B_dev^T 2 mu B_dev + mu/3 (b_q - b) (b_q - b)^T] + V kappa b b^T
///   b_q = grad N_a at point q       b = 1/V sum_q w_q b_q
///
/// with the instantaneous moduli of the block; mu/3 + kappa for a law that does not split
/// (volume_in_shape). Row 3a + i is component i at node a [N/m]. For
/// linear solves on the same integration as the explicit runs.
[[nodiscard]] Mat30 tet_stiffness(const TetBlock& block, Index e);

} // namespace cellgrade
