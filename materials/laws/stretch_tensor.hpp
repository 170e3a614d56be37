// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/lane_roots.hpp"
#include "solver/core/symmetric.hpp"

namespace cellgrade {

template <class S>
struct StretchTensor {
    lane::Symmetric<S> U;     ///< sqrt(C) [-]
    lane::Symmetric<S> U_inv; ///< [-]
    S i1;                     ///< tr U [-]
};

/// U = sqrt(C) without eigenvectors, from C = F^T F and J = sqrt(det C) > 0, on a lane type S.
///
///   I = tr C    II = tr adj C      i1^2 = I + 2 i2    i2^2 = II + 2 i1 J       (Cayley-Hamilton)
///   (i1^2 - I)^2/4 - 2 i1 J - II = 0, largest root by Newton from i1^2 = I + 2 sqrt(3 II)
///   U = (i1 J I + (i1^2 - i2) C - C^2) / (i1 i2 - J)      i2 the second invariant of U
///   U^-1: the same of C^-1 with invariants i2/J, i1/J and 1/J, so that its large ones are exact
///
/// The start lies above the root and the quartic is convex there, so Newton comes down to it; five
/// steps reach rounding for principal stretches that differ by a factor of up to 1000. The root is
/// simple unless two principal stretches vanish, so nothing is lost where stretches are equal.
/// Source: Hoger & Carlson (1984), Quart. Appl. Math. 42:113. 235 flops, of them 8 divisions and 3
/// roots.
template <class S>
[[nodiscard]] CELLGRADE_INLINE StretchTensor<S> stretch_tensor(const lane::Symmetric<S>& C,
                                                               const S& J) noexcept {
    const lane::Symmetric<S> cofactor = lane::adjugate(C);
    const S I = trace(C), II = trace(cofactor);
    S i1 = lane::sqrt(S(I + 2.0 * lane::sqrt(S(3.0 * II))));
    for (int n = 0; n < 5; ++n) {
        const S i2x2 = i1 * i1 - I;
        i1 -= (0.25 * i2x2 * i2x2 - 2.0 * (i1 * J) - II) / (i1 * i2x2 - 2.0 * J);
    }
    const S i2 = lane::sqrt(S(II + 2.0 * (i1 * J)));
    const S per_J = 1.0 / J, per_J2 = per_J * per_J;
    const auto root = [](const lane::Symmetric<S>& A, const S& a1, const S& a2, const S& a3) {
        const S per = 1.0 / (a1 * a2 - a3);
        const lane::Symmetric<S> part =
            lane::combine(S(per * (a1 * a1 - a2)), A, S(-per), lane::squared(A));
        return lane::combine(S(per * (a1 * a3)), S(1.0), part);
    };
    return {root(C, i1, i2, J),
            root(lane::scaled(per_J2, cofactor), S(i2 * per_J), S(i1 * per_J), per_J), i1};
}

} // namespace cellgrade
