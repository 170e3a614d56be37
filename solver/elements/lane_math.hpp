// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"

/// Vectors, quaternions and rotations on a lane type S (double or Pack), for kernels.
namespace cellgrade::lane {

template <class S>
struct Vector {
    S x, y, z;

    // component by component, like Symmetric
    Vector() = default;
    CELLGRADE_INLINE Vector(S x_, S y_, S z_) noexcept : x(x_), y(y_), z(z_) {}
    CELLGRADE_INLINE Vector(const Vector& a) noexcept : x(a.x), y(a.y), z(a.z) {}
    CELLGRADE_INLINE Vector& operator=(const Vector& a) noexcept {
        x = a.x, y = a.y, z = a.z;
        return *this;
    }
};

/// Scalar part first.
template <class S>
struct Quaternion {
    S w, x, y, z;
};

template <class S>
[[nodiscard]] CELLGRADE_INLINE Vector<S> operator+(const Vector<S>& a,
                                                   const Vector<S>& b) noexcept {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}

template <class S>
[[nodiscard]] CELLGRADE_INLINE Vector<S> operator-(const Vector<S>& a,
                                                   const Vector<S>& b) noexcept {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}

template <class S>
[[nodiscard]] CELLGRADE_INLINE Vector<S> operator*(const S& s, const Vector<S>& a) noexcept {
    return {s * a.x, s * a.y, s * a.z};
}

/// 5 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S dot(const Vector<S>& a, const Vector<S>& b) noexcept {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

/// 9 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Vector<S> cross(const Vector<S>& a, const Vector<S>& b) noexcept {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

/// First b, then a. 28 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Quaternion<S> operator*(const Quaternion<S>& a,
                                                       const Quaternion<S>& b) noexcept {
    return {a.w * b.w - a.x * b.x - a.y * b.y - a.z * b.z,
            a.w * b.x + a.x * b.w + a.y * b.z - a.z * b.y,
            a.w * b.y - a.x * b.z + a.y * b.w + a.z * b.x,
            a.w * b.z + a.x * b.y - a.y * b.x + a.z * b.w};
}

/// conj(a) b, the rotation from a to b in axes of a. 28 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Quaternion<S> from_to(const Quaternion<S>& a,
                                                     const Quaternion<S>& b) noexcept {
    return {a.w * b.w + a.x * b.x + a.y * b.y + a.z * b.z,
            a.w * b.x - a.x * b.w - a.y * b.z + a.z * b.y,
            a.w * b.y + a.x * b.z - a.y * b.w - a.z * b.x,
            a.w * b.z - a.x * b.y + a.y * b.x - a.z * b.w};
}

/// Rows of a rotation matrix.
template <class S>
struct Rotation {
    Vector<S> x, y, z;

    /// 15 flops.
    [[nodiscard]] CELLGRADE_INLINE Vector<S> turn(const Vector<S>& v) const noexcept {
        return {dot(x, v), dot(y, v), dot(z, v)};
    }
    /// With the transpose. 15 flops.
    [[nodiscard]] CELLGRADE_INLINE Vector<S> turn_back(const Vector<S>& v) const noexcept {
        return {x.x * v.x + y.x * v.y + z.x * v.z, x.y * v.x + y.y * v.y + z.y * v.z,
                x.z * v.x + y.z * v.y + z.z * v.z};
    }
};

/// Rotation of a quaternion of any length: 2/|q|^2 takes the place of normalising, so no root.
/// 32 flops, one of them a division.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Rotation<S> rotation_of(const Quaternion<S>& q) noexcept {
    const S s = 2.0 / (q.w * q.w + q.x * q.x + q.y * q.y + q.z * q.z);
    const S sx = s * q.x, sy = s * q.y, sz = s * q.z;
    const S wx = sx * q.w, wy = sy * q.w, wz = sz * q.w;
    const S xx = sx * q.x, yy = sy * q.y, zz = sz * q.z;
    const S xy = sx * q.y, xz = sx * q.z, yz = sy * q.z;
    return {{1.0 - (yy + zz), xy - wz, xz + wy},
            {xy + wz, 1.0 - (xx + zz), yz - wx},
            {xz - wy, yz + wx, 1.0 - (xx + yy)}};
}

} // namespace cellgrade::lane
