// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_shape.hpp"

/// One element of a block in dense matrices, for set-up and bounds. Inside `solver/elements` only.
namespace cellgrade {

/// dN_a/dX_j at a point: rows a, columns j [1/m].
[[nodiscard]] inline tet::Slopes tet_gradients(const TetGroup& group, int lane, int q) {
    Mat3 inverse;
    for (int i = 0; i < 9; ++i)
        inverse(i / 3, i % 3) = group.inv_J0[q][i][lane];
    return tet::slopes(q) * inverse;
}

/// Reference volume [m^3].
[[nodiscard]] inline double tet_volume(const TetGroup& group, int lane) {
    return group.weight[0][lane] + group.weight[1][lane] + group.weight[2][lane] +
           group.weight[3][lane];
}

/// Mean of grad N_a over the element, which is dv/dx_a at rest [1/m].
[[nodiscard]] inline tet::Slopes tet_mean_gradients(const TetGroup& group, int lane) {
    tet::Slopes mean = tet::Slopes::Zero();
    for (int q = 0; q < 4; ++q)
        mean += group.weight[q][lane] * tet_gradients(group, lane, q);
    return mean / tet_volume(group, lane);
}

} // namespace cellgrade
