// SPDX-License-Identifier: Apache-2.0
// Problem    rigid sphere, cylinder and flat punch pressed into an elastic half-space, through the
//            surface contact of the program; explicit steps, damped until at rest.
// Exact      Hertz (1882), Boussinesq; Johnson (1985), Contact Mechanics, ch. 4 and 3.8; references
//            E12, E14, E15. At the depth by which the block's own surface has sunk (mean weighted
//            with the contact force), so that the thickness of the contact layer does not count.
// Tolerance  argued at each case.
#include "tests/support/compare.hpp"
#include "tests/support/indentation.hpp"

#include <doctest/doctest.h>

#include <numbers>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

constexpr double youngs = 10e6, R = 10e-3;

LinearElastic polymer(double poisson) {
    return {.E = youngs, .nu = poisson, .void_fraction = 0.0};
}

double plane_modulus(double poisson) {
    return youngs / (1.0 - poisson * poisson);
}

/// Force over that of Hertz, and radius of contact over his, of a quarter sphere.
struct Ratios {
    double force = 0.0, radius = 0.0;
    Pressed pressed;
};

/// @param h  element size under the sphere / radius of contact
Ratios sphere(double poisson, double depth, double h, double far) {
    const double a = std::sqrt(R * depth), size = h * a, past = 0.1 * size, gap = 0.12 * size;
    const std::vector<double> grid = graded(size, 1.3 * a, 2.0, far * a);
    TetMesh mesh = graded_block(grid, grid, grid, 2.5 * a);
    const double width = 1.8 * a + past;
    const int n = static_cast<int>(std::ceil(width / size));
    const Index rigid = add_sheet(mesh, n, n, [&](double u, double v) {
        const double x = u * width - past, y = v * width - past;
        return Vec3(x, y, gap + R - std::sqrt(R * R - x * x - y * y));
    });
    Ratios found;
    found.pressed =
        press(mesh, rigid, {.polymer = polymer(poisson), .travel = depth + gap, .damping = 4.0});
    // in touch, the surface has sunk by d - r^2/(2 R)
    const double square = found.pressed.mean_square_x + found.pressed.mean_square_y;
    const double sunk = found.pressed.depth + 0.5 * square / R;
    const double hertz = 4.0 / 3.0 * plane_modulus(poisson) * std::sqrt(R) * std::pow(sunk, 1.5);
    found.force = 4.0 * found.pressed.force / hertz;
    // p ~ sqrt(1 - r^2/a^2) has a mean square distance of 2/5 a^2
    found.radius = std::sqrt(2.5 * square / (R * sunk));
    return found;
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Exact      F = 4/3 E* sqrt(R) d^1.5, a = sqrt(R d), for d = 0.3 mm (a/R = 0.18).
// Tolerance  3 %, that of the list, with three elements over the radius of contact (0.4, 0.3 of
//            it: 3.3, 1.2 %). The contact layer, 7 % of an element here, widens the contact by
//            about half a surface triangle: 12 % for a.
TEST_CASE("contact: a rigid sphere presses as Hertz says") {
    const Ratios r = sphere(0.3, 0.3e-3, 0.3, 25.0);
    INFO("force ", r.force, " radius ", r.radius);
    CHECK(rel_err(r.force, 1.0) < 0.03);
    CHECK(rel_err(r.radius, 1.0) < 0.12);
    CHECK(r.pressed.pair_balance < 1e-10); // references E20: pairs are two-sided
    CHECK(r.pressed.kinetic_share < 0.02);
}

// Tolerance  2 % on the finer mesh; for nu = 0.49 the 3 % of the list, on that of the case above.
TEST_CASE("contact: Hertz on a finer mesh, and nearly incompressible" * doctest::skip()) {
    const Ratios fine = sphere(0.3, 0.3e-3, 0.22, 40.0);
    INFO("force ", fine.force, " radius ", fine.radius);
    CHECK(rel_err(fine.force, 1.0) < 0.02);
    CHECK(rel_err(fine.radius, 1.0) < 0.1);
    const Ratios rubber = sphere(0.49, 0.3e-3, 0.3, 25.0);
    INFO("nu 0.49: force ", rubber.force);
    CHECK(rel_err(rubber.force, 1.0) < 0.03);
}

// Exact      half-width b = sqrt(4 P' R / (pi E*)); p ~ sqrt(1 - x^2/b^2) has a mean square of
// b^2/4.
//            Plane strain: one layer, held sideways.
// Tolerance  3 % is theirs for b; half a surface triangle of the contact layer adds 5 %: 8 %.
TEST_CASE("contact: a rigid cylinder has the width that Hertz says") {
    const double b = 1e-3, size = 0.2 * b, gap = 0.12 * size, past = 0.1 * size;
    const std::vector<double> grid = graded(size, 1.6 * b, 1.5, 20.0 * b);
    TetMesh mesh = graded_block(grid, {0.0, size}, grid, 3.0 * b);
    const double width = 2.4 * b + past;
    const Index rigid = add_sheet(mesh, static_cast<int>(width / size), 2, [&](double u, double v) {
        const double x = u * width - past;
        return Vec3(x, size * (1.2 * v - 0.1), gap + R - std::sqrt(R * R - x * x));
    });
    const Pressed p =
        press(mesh, rigid, {.polymer = polymer(0.3), .travel = 0.2e-3 + gap, .damping = 4.0});
    const double per_length = 2.0 * p.force / size;
    const double want = std::sqrt(4.0 * per_length * R / (std::numbers::pi * plane_modulus(0.3)));
    INFO("half-width ", 2.0 * std::sqrt(p.mean_square_x), " want ", want, " P' ", per_length);
    CHECK(rel_err(2.0 * std::sqrt(p.mean_square_x), want) < 0.08);
    CHECK(p.kinetic_share < 0.02);
}

// Exact      F = 2 a E* d for a flat round punch, d = a/25, at the middle: nodes that the rim
// touches
//            from outside are not under the punch.
// Tolerance  3 % of the list and 2 % for the edge, where pressure is singular: its strip of one
//            surface triangle, 0.1 a, carries a tenth of the force.
TEST_CASE("contact: a rigid flat punch presses as Boussinesq says" * doctest::skip()) {
    const double a = 5e-3, size = 0.2 * a, gap = 0.12 * size, depth = 0.2e-3;
    const std::vector<double> grid = graded(size, 1.1 * a, 2.0, 25.0 * a);
    TetMesh mesh = graded_block(grid, grid, grid, 1.8 * a);
    // a square turned into a disc, a little past the planes of symmetry
    const Index rigid = add_sheet(mesh, 8, 8, [&](double u, double v) {
        const double x = 1.02 * u - 0.02, y = 1.02 * v - 0.02;
        return Vec3(a * x * std::sqrt(1.0 - 0.5 * y * y), a * y * std::sqrt(1.0 - 0.5 * x * x),
                    gap);
    });
    const Pressed p =
        press(mesh, rigid, {.polymer = polymer(0.3), .travel = depth + gap, .damping = 4.0});
    const double want = 2.0 * a * plane_modulus(0.3) * p.centre;
    INFO("force ", 4.0 * p.force, " want ", want, " depth ", p.centre);
    CHECK(rel_err(4.0 * p.force, want) < 0.05);
    CHECK(p.kinetic_share < 0.02);
}
