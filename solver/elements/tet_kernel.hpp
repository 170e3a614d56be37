// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/symmetric.hpp"
#include "solver/elements/lane_math.hpp"
#include "solver/elements/tet_shape.hpp"

#include <array>

/// Point-wise parts of the ten-node tetrahedron on a lane type; tet_forces.hpp has the equations.
/// Inside `solver/elements` only.
namespace cellgrade::lane {

/// Columns of a 3x3 tensor.
template <class S>
using Columns = std::array<Vector<S>, 3>;

template <class S>
using TetNodeVectors = std::array<Vector<S>, 10>;

/// What the four points share of the slopes: s_k - s_0 for k = 1, 2, 3 with
/// s_k = (4 far - 1) x_k + 4 far sum_(j != k) x_kj. 69 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Columns<S> shared_slopes(const TetNodeVectors<S>& x) noexcept {
    std::array<Vector<S>, 4> s;
    for (int k = 0; k < 4; ++k) {
        const auto& at = tet::node_between[k];
        const Vector<S> edges = x[at[(k + 1) % 4]] + x[at[(k + 2) % 4]] + x[at[(k + 3) % 4]];
        s[k] = S(4.0 * tet::far - 1.0) * x[k] + S(4.0 * tet::far) * edges;
    }
    return {s[1] - s[0], s[2] - s[0], s[3] - s[0]};
}

/// dx/dxi at point q. 27 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Columns<S>
slopes_at(const TetNodeVectors<S>& x, const Columns<S>& shared, int q) noexcept {
    const Vector<S>& base = x[tet::node_between[0][q]];
    Columns<S> D;
    for (int k = 1; k < 4; ++k)
        D[k - 1] =
            shared[k - 1] + S(4.0 * (tet::near - tet::far)) * (x[tet::node_between[k][q]] - base);
    return D;
}

/// F = D A with A the inverse reference slopes, entry 3 k + j. 45 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Columns<S> gradient(const Columns<S>& D,
                                                   const std::array<S, 9>& A) noexcept {
    Columns<S> F;
    for (int j = 0; j < 3; ++j)
        F[j] = A[j] * D[0] + A[3 + j] * D[1] + A[6 + j] * D[2];
    return F;
}

/// F^T F. 30 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Symmetric<S> right_cauchy_green(const Columns<S>& F) noexcept {
    return {dot(F[0], F[0]), dot(F[1], F[1]), dot(F[2], F[2]),
            dot(F[1], F[2]), dot(F[0], F[2]), dot(F[0], F[1])};
}

/// 14 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S determinant(const Columns<S>& F) noexcept {
    return dot(F[0], cross(F[1], F[2]));
}

/// F T for symmetric T. 45 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Columns<S> times(const Columns<S>& F,
                                                const Symmetric<S>& T) noexcept {
    return {T.xx * F[0] + T.xy * F[1] + T.xz * F[2], T.xy * F[0] + T.yy * F[1] + T.yz * F[2],
            T.xz * F[0] + T.yz * F[1] + T.zz * F[2]};
}

/// w P A^T: minus the derivative of the work by the slopes. 54 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Columns<S>
slope_forces(const Columns<S>& P, const std::array<S, 9>& A, const S& minus_w) noexcept {
    Columns<S> H;
    for (int k = 0; k < 3; ++k)
        H[k] = minus_w * (A[3 * k] * P[0] + A[3 * k + 1] * P[1] + A[3 * k + 2] * P[2]);
    return H;
}

/// Forces on the nodes from those on the slopes of the four points, the transpose of the slopes.
/// 24 (h_0) + 36 (sums) + 36 (corners) + 90 (edges) = 186 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE TetNodeVectors<S>
node_forces(const std::array<Columns<S>, 4>& H) noexcept {
    std::array<Vector<S>, 4> h0, sum;
    for (int q = 0; q < 4; ++q) {
        const Vector<S> all = H[q][0] + H[q][1] + H[q][2];
        h0[q] = {-all.x, -all.y, -all.z};
    }
    // by reference: an array of vectors copied as a whole goes through memory in halves
    const auto h = [&](int k, int q) -> const Vector<S>& { return k == 0 ? h0[q] : H[q][k - 1]; };
    for (int k = 0; k < 4; ++k)
        sum[k] = (h(k, 0) + h(k, 1)) + (h(k, 2) + h(k, 3));
    constexpr double apart = 4.0 * (tet::near - tet::far), all = 4.0 * tet::far;
    TetNodeVectors<S> f;
    for (int k = 0; k < 4; ++k) {
        f[k] = S(apart) * h(k, k) + S(all - 1.0) * sum[k];
        for (int j = k + 1; j < 4; ++j)
            f[tet::node_between[k][j]] =
                S(apart) * (h(k, j) + h(j, k)) + S(all) * (sum[k] + sum[j]);
    }
    return f;
}

} // namespace cellgrade::lane
