// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/segments.hpp"

#include <algorithm>

namespace cellgrade {

SegmentGap segment_gap(const Vec3& p, const Vec3& d, const Vec3& q, const Vec3& e) noexcept {
    const Vec3 r = p - q;
    const double a = d.dot(d);
    const double b = d.dot(e);
    const double c = d.dot(r);
    const double f = e.dot(r);
    const double g = e.dot(e);
    const double denominator = a * g - b * b;
    double s = 0.0;
    if (denominator > 1e-12 * a * g)
        s = std::clamp((b * f - c * g) / denominator, 0.0, 1.0);
    double t = (b * s + f) / g;
    if (t < 0.0 || t > 1.0) {
        t = std::clamp(t, 0.0, 1.0);
        s = std::clamp((b * t - c) / a, 0.0, 1.0);
    }
    return {.distance = (r + s * d - t * e).norm(), .s = s, .t = t};
}

} // namespace cellgrade
