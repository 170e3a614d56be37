// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/tet_shape.hpp"

#include "meshes/tets/linear_tets.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {

TetShape tet_shape(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
    const std::array<Vec3, 4> x = {a, b, c, d};
    // inward area vectors of the faces opposite each corner, for positive volume
    const std::array<Vec3, 4> area = {0.5 * (d - b).cross(c - b), 0.5 * (c - a).cross(d - a),
                                      0.5 * (d - a).cross(b - a), 0.5 * (b - a).cross(c - a)};
    TetShape shape;
    const double det = six_volumes(a, b, c, d);
    shape.volume = det / 6.0;
    const std::array<double, 4> size = {area[0].norm(), area[1].norm(), area[2].norm(),
                                        area[3].norm()};
    double largest_area = 0.0, largest_cosine = -2.0, smallest_cosine = 2.0;
    std::array<int, 2> smallest{}, largest{};
    for (int i = 0; i < 4; ++i) {
        largest_area = std::max(largest_area, size[i]);
        for (int j = i + 1; j < 4; ++j) {
            const double cosine = -area[i].dot(area[j]) / (size[i] * size[j]);
            if (!(cosine <= largest_cosine)) {
                largest_cosine = cosine;
                smallest = {i, j};
            }
            if (!(cosine >= smallest_cosine)) {
                smallest_cosine = cosine;
                largest = {i, j};
            }
        }
    }
    const auto angle = [&](const std::array<int, 2>& pair) {
        const Vec3 &p = area[pair[0]], &q = area[pair[1]];
        return std::atan2(p.cross(q).norm(), -p.dot(q));
    };
    shape.smallest_dihedral = angle(smallest);
    shape.largest_dihedral = angle(largest);
    double largest_product = 0.0;
    for (int i = 0; i < 4; ++i) {
        double product = 1.0;
        for (int j = 0; j < 4; ++j)
            product *= i == j ? 1.0 : (x[j] - x[i]).norm();
        largest_product = std::max(largest_product, product);
    }
    shape.scaled_jacobian = std::numbers::sqrt2 * det / largest_product;
    shape.smallest_height = 0.5 * det / largest_area;
    return shape;
}

TetLowness tet_lowness(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
    const Vec3 u = b - a, v = c - a, w = d - a;
    const Vec3 vw = w.cross(v), wu = u.cross(w), uv = v.cross(u); // twice the area, inward
    const std::array<Vec3, 4> area = {-(vw + wu + uv), vw, wu, uv};
    std::array<double, 4> inverse;
    double least_inverse = 1e300;
    for (int i = 0; i < 4; ++i) {
        inverse[i] = 1.0 / area[i].norm();
        least_inverse = std::min(least_inverse, inverse[i]);
    }
    TetLowness low{-vw.dot(u) * least_inverse, -1.0};
    for (int i = 0; i < 4; ++i)
        for (int j = i + 1; j < 4; ++j)
            low.largest_cosine =
                std::max(low.largest_cosine, -area[i].dot(area[j]) * inverse[i] * inverse[j]);
    return low;
}

} // namespace cellgrade
