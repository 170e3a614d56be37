// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_pair.hpp"

#include "solver/contact/segment_distance.hpp"
#include "solver/contact/triangle_distance.hpp"

#include <Eigen/LU>

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

PairSlide::PairSlide(const PairPlaces& x, const NearestPoints& nearest) noexcept
    : normal(nearest.difference / nearest.distance), nearest_(nearest) {
    const Vec3 mean = 0.25 * (x[0] + x[1] + x[2] + x[3]);
    Mat3 inertia = Mat3::Zero();
    for (int i = 0; i < 4; ++i) {
        arm_[i] = x[i] - mean;
        inertia += arm_[i].squaredNorm() * Mat3::Identity() - arm_[i] * arm_[i].transpose();
    }
    inverse_inertia_ = inertia.inverse();
}

Vec3 PairSlide::rate(const PairPlaces& velocity) const noexcept {
    Vec3 apart = Vec3::Zero(), spin = Vec3::Zero();
    for (int i = 0; i < 4; ++i) {
        apart += nearest_.share[i] * velocity[i];
        spin += arm_[i].cross(velocity[i]);
    }
    const Vec3 omega = inverse_inertia_ * spin;
    const Vec3 slide = apart - omega.cross(nearest_.difference);
    return slide - normal.dot(slide) * normal;
}

PairPlaces PairSlide::forces(const Vec3& traction) const noexcept {
    const Vec3 turn = inverse_inertia_ * nearest_.difference.cross(traction);
    PairPlaces force;
    for (int i = 0; i < 4; ++i)
        force[i] = nearest_.share[i] * traction - turn.cross(arm_[i]);
    return force;
}

} // namespace cellgrade
