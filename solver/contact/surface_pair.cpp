// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_pair.hpp"

#include "solver/contact/segment_distance.hpp"
#include "solver/contact/triangle_distance.hpp"

#include <cmath>

namespace cellgrade {

NearestPoints nearest_points(SurfacePair::Kind kind, const PairPlaces& x) noexcept {
    NearestPoints near;
    if (kind == SurfacePair::Kind::VertexTriangle) {
        const std::array<double, 3> w = nearest_on_triangle(x[0], x[1], x[2], x[3]);
        near.share = {1.0, -w[0], -w[1], -w[2]};
        near.difference = w[0] * (x[0] - x[1]) + w[1] * (x[0] - x[2]) + w[2] * (x[0] - x[3]);
        near.distance = near.difference.norm();
        return near;
    }
    // Just enough regularisation for parallel edges to have an answer: it adds less than 1e-5 of
    // their length to the distance, and their weight is zero.
    constexpr double regularisation = 1e-10;
    const Vec3 u = x[1] - x[0], v = x[3] - x[2];
    const double weight = regularisation * std::fmin(u.squaredNorm(), v.squaredNorm());
    const ClosestPoints closest = closest_points(x[0] - x[2], u, v, weight);
    near.share = {1.0 - closest.s, closest.s, closest.t - 1.0, -closest.t};
    near.difference = closest.difference;
    near.distance = near.difference.norm();
    return near;
}

EdgeWeight edge_weight(const Vec3& u, const Vec3& v) noexcept {
    constexpr double full = EdgeWeight::sin_full * EdgeWeight::sin_full;
    const Vec3 cross = u.cross(v);
    const double uu = u.squaredNorm(), vv = v.squaredNorm();
    const double z = cross.squaredNorm() / (uu * vv * full);
    EdgeWeight weight;
    if (z >= 1.0)
        return weight;
    weight.value = z * (2.0 - z);
    const double slope = 2.0 * (1.0 - z);
    weight.by_u = slope * (2.0 / (uu * vv * full) * v.cross(cross) - 2.0 * z / uu * u);
    weight.by_v = slope * (2.0 / (uu * vv * full) * cross.cross(u) - 2.0 * z / vv * v);
    return weight;
}

namespace {

/// xx yy zz yz xz xy of the inverse of a symmetric matrix given alike. By cofactors: Eigen's
/// general inverse took an eighth of a step at densification.
std::array<double, 6> inverse_of_symmetric(const std::array<double, 6>& A) noexcept {
    const auto& [xx, yy, zz, yz, xz, xy] = A;
    const double cxx = yy * zz - yz * yz, cxy = xz * yz - xy * zz, cxz = xy * yz - xz * yy;
    const double over = 1.0 / (xx * cxx + xy * cxy + xz * cxz);
    return {over * cxx,
            over * (xx * zz - xz * xz),
            over * (xx * yy - xy * xy),
            over * (xy * xz - xx * yz),
            over * cxz,
            over * cxy};
}

Vec3 times(const std::array<double, 6>& A, const Vec3& v) noexcept {
    const auto& [xx, yy, zz, yz, xz, xy] = A;
    return {xx * v.x() + xy * v.y() + xz * v.z(), xy * v.x() + yy * v.y() + yz * v.z(),
            xz * v.x() + yz * v.y() + zz * v.z()};
}

} // namespace

PairSlide::PairSlide(const PairPlaces& x, const NearestPoints& nearest) noexcept
    : normal(nearest.difference / nearest.distance), nearest_(nearest) {
    const Vec3 mean = 0.25 * (x[0] + x[1] + x[2] + x[3]);
    double xx = 0.0, yy = 0.0, zz = 0.0, yz = 0.0, xz = 0.0, xy = 0.0; // sum of a_i a_i^T
    for (int i = 0; i < 4; ++i) {
        const Vec3& a = arm_[i] = x[i] - mean;
        xx += a.x() * a.x(), yy += a.y() * a.y(), zz += a.z() * a.z();
        yz += a.y() * a.z(), xz += a.x() * a.z(), xy += a.x() * a.y();
    }
    inverse_inertia_ = inverse_of_symmetric({yy + zz, xx + zz, xx + yy, -yz, -xz, -xy});
}

Vec3 PairSlide::rate(const PairPlaces& velocity) const noexcept {
    Vec3 apart = Vec3::Zero(), spin = Vec3::Zero();
    for (int i = 0; i < 4; ++i) {
        apart += nearest_.share[i] * velocity[i];
        spin += arm_[i].cross(velocity[i]);
    }
    const Vec3 omega = times(inverse_inertia_, spin);
    const Vec3 slide = apart - omega.cross(nearest_.difference);
    return slide - normal.dot(slide) * normal;
}

PairPlaces PairSlide::forces(const Vec3& traction) const noexcept {
    const Vec3 turn = times(inverse_inertia_, nearest_.difference.cross(traction));
    PairPlaces force;
    for (int i = 0; i < 4; ++i)
        force[i] = nearest_.share[i] * traction - turn.cross(arm_[i]);
    return force;
}

} // namespace cellgrade
