// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>

/// Shape functions and integration of the ten-node tetrahedron.
namespace cellgrade::tet {

/// Nodes between corners k and j, and the corner itself for k = j.
inline constexpr std::array<std::array<int, 4>, 4> node_between = {
    {{0, 4, 6, 7}, {4, 1, 5, 8}, {6, 5, 2, 9}, {7, 8, 9, 3}}};

/// Integration point q lies on the line from the middle to corner q: barycentric coordinate `near`
/// there, `far` at the three others, weight a quarter of the volume each. Exact to degree 2.
/// Source: Hammer, Marlowe & Stroud (1956), Math. Tables Aids Comput. 10:130.
inline constexpr double near = 0.58541019662496845446; // (5 + 3 sqrt 5)/20
inline constexpr double far = 0.13819660112501051518;  // (5 - sqrt 5)/20

/// Share of the element's mass at a corner and in the middle of an edge: the diagonal of the
/// consistent mass scaled to the true mass, int N_a^2 / sum_b int N_b^2 of a straight tetrahedron.
/// Row sums would give corners -1/20.
/// Source: Hinton, Rock & Zienkiewicz (1976), Earthq. Eng. Struct. Dyn. 4:245.
inline constexpr double corner_share = 1.0 / 36.0;
inline constexpr double edge_share = 4.0 / 27.0;

[[nodiscard]] constexpr double mass_share(int node) noexcept {
    return node < 4 ? corner_share : edge_share;
}

/// Stiffness against a change of volume that varies inside the element, over the shear modulus.
/// With one pressure alone three motions of a free element cost nothing: the conformal ones,
/// u = 2 (b.x) x - |x|^2 b, have no shear strain and no mean change of volume. A third of mu stops
/// them; it is too soft to lock, vanishes with element size, and brings coarse meshes nearer to the
/// truth (solver/README.md has the figures for 0 to 10 mu). Source: ours.
inline constexpr double variation_stiffness = 1.0 / 3.0;

/// dN_a/dL_k - dN_a/dL_0 for k = 1, 2, 3 at integration point q: rows a, columns k - 1. By
///
///   dx/dL_k = (4 far - 1) x_k + 4 far sum_(j != k) x_kj + 4 (near - far) x_kq      x_kk = x_k
using Slopes = Eigen::Matrix<double, 10, 3>;
[[nodiscard]] inline Slopes slopes(int q) {
    Eigen::Matrix<double, 10, 4> by_L = Eigen::Matrix<double, 10, 4>::Zero();
    for (int k = 0; k < 4; ++k) {
        by_L(k, k) += 4.0 * far - 1.0;
        for (int j = 0; j < 4; ++j)
            if (j != k)
                by_L(node_between[k][j], k) += 4.0 * far;
        by_L(node_between[k][q], k) += 4.0 * (near - far);
    }
    return by_L.rightCols<3>().colwise() - by_L.col(0);
}

} // namespace cellgrade::tet
