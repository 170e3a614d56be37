// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/field_projection.hpp"

#include "meshes/tets/field_roots.hpp"

#include <algorithm>
#include <array>

namespace cellgrade {

Vec3 field_gradient(const ImplicitSolid& solid, const Vec3& x, unsigned held, double h) {
    std::array<Vec3, 6> points;
    Vec3 width = Vec3::Zero();
    for (int axis = 0; axis < 3; ++axis) {
        points[2 * axis] = points[2 * axis + 1] = x;
        points[2 * axis][axis] = std::max(x[axis] - h, 0.0);
        points[2 * axis + 1][axis] = std::min(x[axis] + h, solid.box[axis]);
        width[axis] = points[2 * axis + 1][axis] - points[2 * axis][axis];
    }
    std::array<double, 6> f;
    solid.field(points, f);
    Vec3 gradient = Vec3::Zero();
    for (int axis = 0; axis < 3; ++axis)
        if ((held >> axis & 1U) == 0U)
            gradient[axis] = (f[2 * axis + 1] - f[2 * axis]) / width[axis];
    return gradient;
}

std::optional<Vec3>
onto_zero_set(const ImplicitSolid& solid, const Vec3& x, unsigned held, double reach) {
    const double f = solid.value(x);
    const Vec3 gradient = field_gradient(solid, x, held, 1e-3 * reach);
    const double slope = gradient.norm();
    if (!(slope > 0.0))
        return f == 0.0 ? std::optional(x) : std::nullopt;
    // a little past the Newton point, so that the zero lies between
    const Vec3 way = -f / (slope * slope) * gradient;
    for (const double overshoot : {1.1, 1.5, 3.0}) {
        Vec3 end = x + overshoot * way;
        if ((end - x).norm() > reach)
            end = x + reach * way.normalized();
        if ((end.array() < 0.0).any() || (end.array() > solid.box.array()).any())
            return std::nullopt;
        const double f_end = solid.value(end);
        if (f_end == 0.0)
            return end;
        if ((f_end < 0.0) != (f < 0.0) && f != 0.0) {
            const Crossing line{x, end, f, f_end};
            return x + field_roots(solid.field, std::span(&line, 1)).front() * (end - x);
        }
    }
    return f == 0.0 ? std::optional(x) : std::nullopt;
}

} // namespace cellgrade
