// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/segment_distance.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

ClosestPoints closest_points(const Vec3& d0, const Vec3& u, const Vec3& v, double w) noexcept {
    // Half gradient: a s - b t + d = 0 and -b s + c t - e = 0.
    const double a = u.squaredNorm() + w, b = u.dot(v), c = v.squaredNorm() + w;
    const double d = u.dot(d0) - 0.5 * w, e = v.dot(d0) + 0.5 * w;
    ClosestPoints x;
    x.s = std::clamp((b * e - c * d) / (a * c - b * b), 0.0, 1.0);
    const double t = (b * x.s + e) / c;
    x.t = std::clamp(t, 0.0, 1.0);
    if (x.t != t) // the other place was computed for a t outside: best on the edge instead
        x.s = std::clamp((b * x.t - d) / a, 0.0, 1.0);
    x.difference = d0 + x.s * u - x.t * v;
    const double ds = x.s - 0.5, dt = x.t - 0.5;
    x.distance = std::sqrt(x.difference.squaredNorm() + w * (ds * ds + dt * dt));
    return x;
}

} // namespace cellgrade
