// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/core/types.hpp"

/// Symmetric 3x3 tensors on a lane type S (double or Pack).
namespace cellgrade::lane {

/// Copies go component by component: a struct of packs that is copied as a whole GCC hands to
/// memcpy, a tenth of the tetrahedron kernel's time.
template <class S>
struct Symmetric {
    S xx, yy, zz, yz, xz, xy;

    Symmetric() = default;
    CELLGRADE_INLINE Symmetric(S xx_, S yy_, S zz_, S yz_, S xz_, S xy_) noexcept
        : xx(xx_), yy(yy_), zz(zz_), yz(yz_), xz(xz_), xy(xy_) {}
    CELLGRADE_INLINE Symmetric(const Symmetric& A) noexcept
        : xx(A.xx), yy(A.yy), zz(A.zz), yz(A.yz), xz(A.xz), xy(A.xy) {}
    CELLGRADE_INLINE Symmetric& operator=(const Symmetric& A) noexcept {
        xx = A.xx, yy = A.yy, zz = A.zz, yz = A.yz, xz = A.xz, xy = A.xy;
        return *this;
    }
};

template <class S>
[[nodiscard]] CELLGRADE_INLINE S trace(const Symmetric<S>& A) noexcept {
    return A.xx + A.yy + A.zz;
}

/// a A + b B. 18 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Symmetric<S>
combine(const S& a, const Symmetric<S>& A, const S& b, const Symmetric<S>& B) noexcept {
    return {a * A.xx + b * B.xx, a * A.yy + b * B.yy, a * A.zz + b * B.zz,
            a * A.yz + b * B.yz, a * A.xz + b * B.xz, a * A.xy + b * B.xy};
}

/// a I + b B. 9 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Symmetric<S>
combine(const S& a, const S& b, const Symmetric<S>& B) noexcept {
    return {a + b * B.xx, a + b * B.yy, a + b * B.zz, b * B.yz, b * B.xz, b * B.xy};
}

/// a A. 6 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Symmetric<S> scaled(const S& a, const Symmetric<S>& A) noexcept {
    return {a * A.xx, a * A.yy, a * A.zz, a * A.yz, a * A.xz, a * A.xy};
}

/// det(A) A^-1. 18 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Symmetric<S> adjugate(const Symmetric<S>& A) noexcept {
    return {A.yy * A.zz - A.yz * A.yz, A.xx * A.zz - A.xz * A.xz, A.xx * A.yy - A.xy * A.xy,
            A.xz * A.xy - A.xx * A.yz, A.xy * A.yz - A.yy * A.xz, A.xz * A.yz - A.zz * A.xy};
}

/// A A. 30 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Symmetric<S> squared(const Symmetric<S>& A) noexcept {
    return {A.xx * A.xx + A.xy * A.xy + A.xz * A.xz, A.xy * A.xy + A.yy * A.yy + A.yz * A.yz,
            A.xz * A.xz + A.yz * A.yz + A.zz * A.zz, A.xy * A.xz + A.yy * A.yz + A.yz * A.zz,
            A.xx * A.xz + A.xy * A.yz + A.xz * A.zz, A.xx * A.xy + A.xy * A.yy + A.xz * A.yz};
}

/// A : B. 13 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S contract(const Symmetric<S>& A, const Symmetric<S>& B) noexcept {
    return A.xx * B.xx + A.yy * B.yy + A.zz * B.zz +
           2.0 * (A.yz * B.yz + A.xz * B.xz + A.xy * B.xy);
}

[[nodiscard]] inline Symmetric<double> symmetric_of(const Mat3& A) noexcept {
    return {A(0, 0), A(1, 1), A(2, 2), A(1, 2), A(0, 2), A(0, 1)};
}

[[nodiscard]] inline Mat3 matrix_of(const Symmetric<double>& A) noexcept {
    return (Mat3() << A.xx, A.xy, A.xz, A.xy, A.yy, A.yz, A.xz, A.yz, A.zz).finished();
}

} // namespace cellgrade::lane
