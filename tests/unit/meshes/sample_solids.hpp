// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"

#include <cmath>
#include <numbers>
#include <utility>

/// Solids with known measures for the mesher's tests.
namespace cellgrade::test {

/// A solid from a function of one point.
template <class F>
[[nodiscard]] ImplicitSolid
solid_of(const Vec3& box, F f, const std::array<bool, 3>& periodic = {false, false, false}) {
    ImplicitSolid solid;
    solid.box = box;
    solid.periodic = periodic;
    solid.field = [f = std::move(f)](std::span<const Vec3> x, std::span<double> values) {
        for (std::size_t i = 0; i < x.size(); ++i)
            values[i] = f(x[i]);
    };
    return solid;
}

[[nodiscard]] inline ImplicitSolid ball(double radius) {
    return solid_of(Vec3::Constant(1.0),
                    [=](const Vec3& x) { return (x - Vec3(0.5, 0.49, 0.52)).norm() - radius; });
}

/// A round rod along z through the box, cut flat at both ends.
[[nodiscard]] inline ImplicitSolid rod(double radius) {
    return solid_of(Vec3(1.0, 1.0, 1.5),
                    [=](const Vec3& x) { return std::hypot(x.x() - 0.5, x.y() - 0.47) - radius; });
}

/// Gyroid wall |f| < level in one cell of size 1, endless along all axes: 2 phi(level) - 1 of it is
/// solid, phi(0.5) = 0.66178 (references: quadrature on 480^3 points).
[[nodiscard]] inline ImplicitSolid gyroid_wall(double level) {
    return solid_of(Vec3::Constant(1.0),
                    [=](const Vec3& p) {
                        const auto angle = [](double t) {
                            return 2.0 * std::numbers::pi * (t == 1.0 ? 0.0 : t);
                        };
                        const double x = angle(p.x()), y = angle(p.y()), z = angle(p.z());
                        return std::abs(std::sin(x) * std::cos(y) + std::sin(y) * std::cos(z) +
                                        std::sin(z) * std::cos(x)) -
                               level;
                    },
                    {true, true, true});
}

} // namespace cellgrade::test
