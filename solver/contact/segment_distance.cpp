// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/segment_distance.hpp"

#include "solver/contact/nearest_kernel.hpp"

#include <cmath>

namespace cellgrade {

ClosestPoints closest_points(const Vec3& d0, const Vec3& u, const Vec3& v, double w) noexcept {
    const auto vector = [](const Vec3& x) { return lane::Vector<double>(x.x(), x.y(), x.z()); };
    const auto at = lane::nearest_on_segments(vector(d0), vector(u), vector(v), w);
    ClosestPoints x{
        .s = at.s, .t = at.t, .difference = {at.difference.x, at.difference.y, at.difference.z}};
    const double ds = x.s - 0.5, dt = x.t - 0.5;
    x.distance = std::sqrt(x.difference.squaredNorm() + w * (ds * ds + dt * dt));
    return x;
}

} // namespace cellgrade
