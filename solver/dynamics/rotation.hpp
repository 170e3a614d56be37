// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <Eigen/Geometry>

#include <cmath>

namespace cellgrade {

/// Unit quaternion, scalar part first; plain members so that arrays have no alignment demands.
struct Quat {
    double w = 1.0, x = 0.0, y = 0.0, z = 0.0;

    [[nodiscard]] Vec3 vector() const { return {x, y, z}; }
};

[[nodiscard]] inline Quat operator*(const Quat& a, const Quat& b) {
    return {.w = a.w * b.w - a.x * b.x - a.y * b.y - a.z * b.z,
            .x = a.w * b.x + a.x * b.w + a.y * b.z - a.z * b.y,
            .y = a.w * b.y - a.x * b.z + a.y * b.w + a.z * b.x,
            .z = a.w * b.z + a.x * b.y - a.y * b.x + a.z * b.w};
}

[[nodiscard]] inline Quat conjugate(const Quat& q) {
    return {.w = q.w, .x = -q.x, .y = -q.y, .z = -q.z};
}

[[nodiscard]] inline Quat normalised(const Quat& q) {
    const double s = 1.0 / std::sqrt(q.w * q.w + q.x * q.x + q.y * q.y + q.z * q.z);
    return {.w = s * q.w, .x = s * q.x, .y = s * q.y, .z = s * q.z};
}

/// R(q) u
[[nodiscard]] inline Vec3 rotate(const Quat& q, const Vec3& u) {
    const Vec3 v = q.vector();
    const Vec3 t = 2.0 * v.cross(u);
    return u + q.w * t + v.cross(t);
}

/// R(q)^T u
[[nodiscard]] inline Vec3 rotate_back(const Quat& q, const Vec3& u) {
    return rotate(conjugate(q), u);
}

/// Exponential map: the rotation by |a| about a.
///
///   q = (cos h, sin(h)/h a/2),  h = |a|/2
///
/// Both factors are even and analytic in h: below h = 1/4 a Taylor sum to h^10 is exact to rounding
/// (first dropped term h^12/12! < 2e-16) and spares the calls of sin and cos.
[[nodiscard]] inline Quat exponential(const Vec3& a) {
    const double h2 = 0.25 * a.squaredNorm();
    double cosine = 1.0;
    double sinc = 1.0;
    if (h2 < 0.0625) {
        cosine -= h2 / 2.0 *
                  (1.0 - h2 / 12.0 * (1.0 - h2 / 30.0 * (1.0 - h2 / 56.0 * (1.0 - h2 / 90.0))));
        sinc -= h2 / 6.0 *
                (1.0 - h2 / 20.0 * (1.0 - h2 / 42.0 * (1.0 - h2 / 72.0 * (1.0 - h2 / 110.0))));
    } else {
        const double h = std::sqrt(h2);
        cosine = std::cos(h);
        sinc = std::sin(h) / h;
    }
    const Vec3 v = 0.5 * sinc * a;
    return {.w = cosine, .x = v.x(), .y = v.y(), .z = v.z()};
}

} // namespace cellgrade
