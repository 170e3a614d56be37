// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/triangle_distance.hpp"

namespace cellgrade {

std::array<double, 3>
nearest_on_triangle(const Vec3& x, const Vec3& a, const Vec3& b, const Vec3& c) noexcept {
    const Vec3 ab = b - a, ac = c - a, ax = x - a;
    const double d1 = ab.dot(ax), d2 = ac.dot(ax);
    if (d1 <= 0.0 && d2 <= 0.0)
        return {1.0, 0.0, 0.0};
    const Vec3 bx = x - b;
    const double d3 = ab.dot(bx), d4 = ac.dot(bx);
    if (d3 >= 0.0 && d4 <= d3)
        return {0.0, 1.0, 0.0};
    const Vec3 cx = x - c;
    const double d5 = ab.dot(cx), d6 = ac.dot(cx);
    if (d6 >= 0.0 && d5 <= d6)
        return {0.0, 0.0, 1.0};
    const double vc = d1 * d4 - d3 * d2; // areas opposite to the corners, signed
    if (vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0) {
        const double v = d1 / (d1 - d3);
        return {1.0 - v, v, 0.0};
    }
    const double vb = d5 * d2 - d1 * d6;
    if (vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0) {
        const double w = d2 / (d2 - d6);
        return {1.0 - w, 0.0, w};
    }
    const double va = d3 * d6 - d5 * d4;
    if (va <= 0.0 && d4 >= d3 && d5 >= d6) {
        const double w = (d4 - d3) / ((d4 - d3) + (d5 - d6));
        return {0.0, 1.0 - w, w};
    }
    const double sum = va + vb + vc, v = vb / sum, w = vc / sum;
    return {1.0 - v - w, v, w};
}

} // namespace cellgrade
