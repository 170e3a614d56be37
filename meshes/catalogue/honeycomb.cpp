// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/honeycomb.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade {
namespace {

/// All lengths in units of the width.
struct Plane {
    double height;
    double ratio;
    double upper;      ///< height of the junction above the middle of a hexagon
    double lower;      ///< height of the junction on its flat side
    double short_wall; ///< length

    explicit Plane(const Honeycomb& h)
        : height(h.height / h.width), ratio(h.junction_ratio),
          upper(0.25 * (height + 1.0 / height)), lower(0.25 * (height - 1.0 / height)),
          short_wall(std::min(2.0 * lower, std::hypot(0.5, upper - lower))) {}

    double value(double u, double v) const {
        // fold into a quarter of the hexagon whose middle is nearest
        u = std::abs(u - std::round(u));
        v = std::abs(v - height * std::round(v / height));
        const double corner = u * u + v * v;
        const double du = 0.5 - u;
        const double dv = 0.5 * height - v;
        if (du * du + dv * dv < corner) {
            u = du;
            v = dv;
        }
        const double slant = 0.25 * (1.0 + height * height);
        const double to_flat = 0.5 - u;
        const double to_slant = (0.5 * slant - 0.5 * (u + height * v)) / std::sqrt(slant);
        const double to_top = 0.5 * height - v; // only of much stretched hexagons
        const double d = std::min({to_flat, to_slant, to_top});
        if (ratio == 1.0)
            return d;
        const double r = std::min(std::hypot(u, v - upper), std::hypot(0.5 - u, v - lower));
        if (r >= 0.5 * short_wall)
            return d;
        const double c = std::cos(std::numbers::pi * r / short_wall);
        return d / (1.0 + (ratio - 1.0) * c * c);
    }
};

} // namespace

PointField honeycomb_function(const Honeycomb& shape, const std::array<int, 2>& across) {
    const Plane plane(shape);
    return [plane, across](std::span<const Vec3> points, std::span<double> values) {
        for (std::size_t k = 0; k < points.size(); ++k)
            values[k] = plane.value(points[k][across[0]], plane.height * points[k][across[1]]);
    };
}

} // namespace cellgrade
