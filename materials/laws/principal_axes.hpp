// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/lane_roots.hpp"
#include "solver/core/symmetric.hpp"

namespace cellgrade {

/// A symmetric tensor by its principal values and unit axes: value.x belongs to axis x, and so on.
template <class S>
struct PrincipalAxes {
    template <class T>
    struct Triple {
        T x, y, z;

        Triple() = default;
        CELLGRADE_INLINE Triple(const T& x_, const T& y_, const T& z_) noexcept
            : x(x_), y(y_), z(z_) {}
        // component by component, like Symmetric
        CELLGRADE_INLINE Triple(const Triple& a) noexcept : x(a.x), y(a.y), z(a.z) {}
        CELLGRADE_INLINE Triple& operator=(const Triple& a) noexcept {
            x = a.x, y = a.y, z = a.z;
            return *this;
        }
    };
    Triple<S> value;
    Triple<Triple<S>> axis; ///< orthonormal
};

namespace detail {

/// One plane rotation that makes the entry pq zero; r is the third axis.
template <class S>
CELLGRADE_INLINE void turn_plane(S& pp, S& qq, S& pq, S& pr, S& qr, auto& p, auto& q) noexcept {
    const S apart = qq - pp;
    const S size = select(apart < 0.0, S(-apart), apart);
    const S sum = size + lane::sqrt(S(apart * apart + 4.0 * (pq * pq)));
    const S signed_pq = select(apart < 0.0, S(-2.0 * pq), S(2.0 * pq));
    // against 0/0; far above where the square of pq underflows, so that |t| stays at 1 or below
    constexpr double tiny = 1e-140;
    const S t = signed_pq / (sum + tiny);
    const S c = 1.0 / lane::sqrt(S(1.0 + t * t)), s = t * c;
    const S shift = t * pq;
    pp -= shift;
    qq += shift;
    pq = S(0.0);
    const auto turn = [&](S & a, S & b) __attribute__((always_inline)) {
        const S old = a;
        a = c * old - s * b;
        b = s * old + c * b;
    };
    turn(pr, qr);
    turn(p.x, q.x);
    turn(p.y, q.y);
    turn(p.z, q.z);
}

} // namespace detail

inline constexpr int principal_sweeps = 4;
inline constexpr double principal_flops = principal_sweeps * 3 * 43.0; ///< counted by hand

/// Principal values and axes by cyclic Jacobi rotations, always four sweeps of three: no branch, no
/// division by a difference of principal values, so equal ones are as good as others.
///
///   t = sign(d) 2 A_pq / (|d| + sqrt(d^2 + 4 A_pq^2)),  d = A_qq - A_pp,  tan of the angle
///
/// What is left beside the diagonal falls to its third power in a sweep; four reach rounding
/// (tested for values that differ by up to 1e6), three miss it in a few of ten thousand.
/// Principal values are within a few units in the last place of the largest. Not sorted. Left as a
/// call: it is long. Source: Jacobi (1846); the form of the angle Rutishauser (1966), Numer. Math.
/// 9:1 (from memory).
template <class S>
[[nodiscard, gnu::noinline]] PrincipalAxes<S> principal_axes(const lane::Symmetric<S>& A) noexcept {
    lane::Symmetric<S> D(A);
    using Axis = typename PrincipalAxes<S>::template Triple<S>;
    const S zero(0.0), one(1.0);
    Axis x(one, zero, zero), y(zero, one, zero), z(zero, zero, one);
#pragma GCC unroll 1
    for (int n = 0; n < principal_sweeps; ++n) {
        detail::turn_plane(D.xx, D.yy, D.xy, D.xz, D.yz, x, y);
        detail::turn_plane(D.xx, D.zz, D.xz, D.xy, D.yz, x, z);
        detail::turn_plane(D.yy, D.zz, D.yz, D.xy, D.xz, y, z);
    }
    return {{D.xx, D.yy, D.zz}, {x, y, z}};
}

/// sum_i value_i axis_i (x) axis_i. 39 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE lane::Symmetric<S>
from_principal(const PrincipalAxes<S>& of, const S& a, const S& b, const S& c) noexcept {
    const auto& [x, y, z] = of.axis;
    const S ax = a * x.x, ay = a * x.y, az = a * x.z;
    const S bx = b * y.x, by = b * y.y, bz = b * y.z;
    const S cx = c * z.x, cy = c * z.y, cz = c * z.z;
    return {ax * x.x + bx * y.x + cx * z.x, ay * x.y + by * y.y + cy * z.y,
            az * x.z + bz * y.z + cz * z.z, ay * x.z + by * y.z + cy * z.z,
            ax * x.z + bx * y.z + cx * z.z, ax * x.y + bx * y.y + cx * z.y};
}

} // namespace cellgrade
