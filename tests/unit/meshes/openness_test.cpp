// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/openness.hpp"

#include "solver/core/error.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace cellgrade;

namespace {

/// Rods along x, y, z through the middle of a box, radius r.
ImplicitSolid cross(const Vec3& box, double r) {
    ImplicitSolid solid;
    solid.box = box;
    solid.periodic = {true, true, true};
    solid.narrowest = 2.0 * r;
    solid.field = [box, r](std::span<const Vec3> points, std::span<double> values) {
        for (std::size_t i = 0; i < points.size(); ++i) {
            const Vec3 x = points[i] - 0.5 * box;
            values[i] = std::min({std::hypot(x.y(), x.z()), std::hypot(x.x(), x.z()),
                                  std::hypot(x.x(), x.y())}) -
                        r;
        }
    };
    return solid;
}

} // namespace

// Exact      rods of diameter d in a cube of edge a: square windows, (1 - d/a)^2 of the view, and a
//            ball of a - d passes. Tolerance: one box along the rim of the window; the opening a
//            few per cent (print_check)
TEST_CASE("openness: windows of crossed rods") {
    constexpr double a = 5e-3, d = 1.2e-3;
    const Openness open = openness(cross(Vec3::Constant(a), 0.5 * d), 50);
    const double exact = (1.0 - d / a) * (1.0 - d / a);
    for (const double share : open.through_view)
        CHECK(std::abs(share - exact) < 2.0 * 2.0 / 50.0 * (1.0 - d / a));
    CHECK(std::abs(open.narrowest_opening - (a - d)) < 0.05 * (a - d));
}

// Exact      a box twice as long along x: the windows seen along z are a - d and 2a - d wide
TEST_CASE("openness: an oblong box has its own view along each axis") {
    constexpr double a = 4e-3, d = 1e-3;
    const Openness open = openness(cross(Vec3(2.0 * a, a, a), 0.5 * d), 40);
    const double small = 1.0 - d / a, large = 1.0 - 0.5 * d / a;
    CHECK(std::abs(open.through_view[2] - small * large) < 0.05);
    CHECK(std::abs(open.through_view[0] - small * small) < 0.05);
    ImplicitSolid finite = cross(Vec3::Constant(a), 0.5 * d);
    finite.periodic[2] = false;
    CHECK_THROWS_AS((void)openness(finite), Error);
}
