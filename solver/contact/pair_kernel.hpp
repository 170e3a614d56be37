// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/nearest_kernel.hpp"
#include "solver/contact/surface_pair.hpp"
#include "solver/core/lane_roots.hpp"
#include "solver/core/symmetric.hpp"

/// What a pair of surface primitives is to contact, on a lane type S (double or Pack).
namespace cellgrade::lane {

template <class S>
using PairVectors = std::array<Vector<S>, 4>;

/// The nearest points p and q of the two sides of a pair, p - q = sum c_i x_i.
template <class S>
struct Nearest {
    std::array<S, 4> share; ///< c_i: sums to 1 over side p and to -1 over side q
    Vector<S> difference;   ///< p - q [m]
    S distance;             ///< [m]
};

template <SurfacePair::Kind kind, class S>
[[nodiscard]] CELLGRADE_INLINE Nearest<S> nearest_points(const PairVectors<S>& x) noexcept {
    if constexpr (kind == SurfacePair::Kind::VertexTriangle) {
        const std::array<S, 3> w = nearest_on_triangle(x[0], x[1], x[2], x[3]);
        const Vector<S> apart = w[0] * (x[0] - x[1]) + w[1] * (x[0] - x[2]) + w[2] * (x[0] - x[3]);
        return {{S(1.0), -w[0], -w[1], -w[2]}, apart, sqrt(dot(apart, apart))};
    } else {
        // Just enough regularisation for parallel edges to have an answer: it adds less than 1e-5
        // of their length to the distance, and their weight is zero.
        constexpr double regularisation = 1e-10;
        const Vector<S> u = x[1] - x[0], v = x[3] - x[2];
        const S uu = dot(u, u), vv = dot(v, v);
        const SegmentPlaces<S> at =
            nearest_on_segments<S>(x[0] - x[2], u, v, regularisation * select(uu < vv, uu, vv));
        return {{1.0 - at.s, at.s, at.t - 1.0, -at.t},
                at.difference,
                sqrt(dot(at.difference, at.difference))};
    }
}

/// Weight of a pair of edges by the angle between them, 0 for parallel edges.
///
///   z = |u x v|^2 / (|u|^2 |v|^2 sin^2(theta_0))       w = z (2 - z) below z = 1, else 1
///
/// The place where near-parallel edges are nearest jumps along them with the least tilt; there the
/// vertices at their ends feel the other surface, so the edges need not. Ends of edges of length L
/// that cross at an angle below theta_0 are within sin(theta_0) L / 2 of the other edge sideways,
/// which a layer of 0.15 L covers. w is once continuously differentiable and does not change with
/// rigid motion. Source: mollifier after Li et al. (2020), Incremental Potential Contact, sec. 4.5,
/// taken relative to current lengths; theta_0 wider, so that the stiffness of w stays below that of
/// the contact itself.
template <class S>
struct EdgeWeight {
    static constexpr double sin_full = 0.25; ///< sine of theta_0

    S value;
    Vector<S> by_u; ///< dw/du [1/m], u = x1 - x0
    Vector<S> by_v; ///< dw/dv [1/m], v = x3 - x2
};

template <class S>
[[nodiscard]] CELLGRADE_INLINE EdgeWeight<S> edge_weight(const Vector<S>& u,
                                                         const Vector<S>& v) noexcept {
    const Vector<S> normal = cross(u, v);
    const S uu = dot(u, u), vv = dot(v, v);
    const S scale = 1.0 / (uu * vv * (EdgeWeight<S>::sin_full * EdgeWeight<S>::sin_full));
    const S full = dot(normal, normal) * scale;
    const S z = select(full < 1.0, full, S(1.0));
    const S slope = 4.0 * (1.0 - z), by_length = slope * z;
    return {z * (2.0 - z), (slope * scale) * cross(v, normal) - (by_length / uu) * u,
            (slope * scale) * cross(normal, u) - (by_length / vv) * v};
}

/// Slide of side p over side q as the four vertices move, without the share of rigid rotation.
///
///   slide = P (sum c_i v_i - omega x (p - q))     omega = J^-1 sum a_i x v_i,  a_i = x_i - mean
///   f_i   = c_i T - (J^-1 ((p - q) x T)) x a_i    forces that do the work T . slide
///
/// P takes out the normal, J is the inertia of four unit masses. Since no rigid motion gives a
/// slide, the forces of a traction T balance in force and moment though it acts across the gap.
template <class S>
struct PairSlide {
    CELLGRADE_INLINE PairSlide(const PairVectors<S>& x, const Nearest<S>& near) noexcept
        : share(near.share), apart(near.difference),
          normal((1.0 / near.distance) * near.difference) {
        const Vector<S> mean = S(0.25) * ((x[0] + x[1]) + (x[2] + x[3]));
        S xx(0.0), yy(0.0), zz(0.0), yz(0.0), xz(0.0), xy(0.0); // sum of a_i a_i^T
        for (int i = 0; i < 4; ++i) {
            const Vector<S> a = x[i] - mean;
            arm[i] = a;
            xx += a.x * a.x, yy += a.y * a.y, zz += a.z * a.z;
            yz += a.y * a.z, xz += a.x * a.z, xy += a.x * a.y;
        }
        const Symmetric<S> J(yy + zz, xx + zz, xx + yy, -yz, -xz, -xy);
        const Symmetric<S> C = adjugate(J);
        inverse_inertia = scaled<S>(1.0 / (J.xx * C.xx + J.xy * C.xy + J.xz * C.xz), C);
    }

    /// @param velocity  of the four vertices [m/s]  @return slide [m/s]
    [[nodiscard]] CELLGRADE_INLINE Vector<S> rate(const PairVectors<S>& velocity) const noexcept {
        Vector<S> opening = share[0] * velocity[0];
        Vector<S> spin = cross(arm[0], velocity[0]);
        for (int i = 1; i < 4; ++i) {
            opening = opening + share[i] * velocity[i];
            spin = spin + cross(arm[i], velocity[i]);
        }
        const Vector<S> slide = opening - cross(turn(spin), apart);
        return slide - dot(normal, slide) * normal;
    }

    /// Forces on the vertices of a traction on side p, normal to p - q.
    [[nodiscard]] CELLGRADE_INLINE PairVectors<S> forces(const Vector<S>& traction) const noexcept {
        const Vector<S> about = turn(cross(apart, traction));
        PairVectors<S> force;
        for (int i = 0; i < 4; ++i)
            force[i] = share[i] * traction - cross(about, arm[i]);
        return force;
    }

    std::array<S, 4> share;
    Vector<S> apart, normal; ///< p - q [m], and that over its length
    PairVectors<S> arm;      ///< a_i [m]
    Symmetric<S> inverse_inertia;

private:
    [[nodiscard]] CELLGRADE_INLINE Vector<S> turn(const Vector<S>& v) const noexcept {
        const Symmetric<S>& A = inverse_inertia;
        return {A.xx * v.x + A.xy * v.y + A.xz * v.z, A.xy * v.x + A.yy * v.y + A.yz * v.z,
                A.xz * v.x + A.yz * v.y + A.zz * v.z};
    }
};

} // namespace cellgrade::lane
