// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/printed_solid.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/catalogue/strut_net.hpp"
#include "meshes/density/level_set_density.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;

namespace {

/// f = q(x) - 1 of an ellipsoid about the middle of a box: no distance, and no unit of length.
ImplicitSolid ellipsoid(const Vec3& half_axes) {
    ImplicitSolid s{.field = {}, .box = Vec3::Constant(10e-3)};
    s.field = [half_axes](std::span<const Vec3> x, std::span<double> f) {
        for (std::size_t k = 0; k < x.size(); ++k)
            f[k] = (x[k] - Vec3::Constant(5e-3)).cwiseQuotient(half_axes).squaredNorm() - 1.0;
    };
    return s;
}

/// Place where the field vanishes, on the way out from the middle along a direction.
double surface_at(const ImplicitSolid& s, const Vec3& direction) {
    double low = 0.5e-3, high = 4.9e-3;
    for (int n = 0; n < 60; ++n) {
        const double r = 0.5 * (low + high);
        (s.value(Vec3::Constant(5e-3) + r * direction) < 0.0 ? low : high) = r;
    }
    return low;
}

} // namespace

// Exact      a sphere of radius a moved outward by h is one of radius a + h, though f = r^2/a^2 - 1
//            is no distance
// Tolerance  the gradient by differences over 1e-6 of the box: h times the square of its error
TEST_CASE("moved_surface: a sphere stays a sphere") {
    const ImplicitSolid ball = ellipsoid(Vec3::Constant(3e-3));
    for (const double h : {-0.5e-3, -0.02e-3, 0.03e-3, 0.8e-3})
        for (const Vec3& d :
             {Vec3(1, 0, 0), Vec3(0.6, 0.8, 0), Vec3(2.0 / 3.0, -1.0 / 3.0, 2.0 / 3.0)})
            CHECK(test::rel_err(surface_at(moved_surface(ball, h), d), 3e-3 + h) < 1e-9);
}

// Exact      the surface moved by h consists of the points y + h n(y), y on the ellipsoid
// Tolerance  order 3 in h, two halvings: each divides the error by 8 (7.2 to 8.8, the next order
//            being h/radius of curvature, 0.05 to 0.2 here)
TEST_CASE("moved_surface: an ellipsoid's error falls with the third power of the shift") {
    const Vec3 axes(4e-3, 2.5e-3, 3e-3);
    const ImplicitSolid s = ellipsoid(axes);
    const Vec3 unit = Vec3(0.48, 0.64, 0.6);
    const Vec3 y = unit.cwiseProduct(axes);
    const Vec3 n = unit.cwiseQuotient(axes).normalized();
    std::vector<double> error;
    for (const double h : {0.2e-3, 0.1e-3, 0.05e-3}) {
        const ImplicitSolid moved = moved_surface(s, h);
        const Vec3 x = Vec3::Constant(5e-3) + y + h * n;
        // f over its slope is the distance missed.
        const double slope = (moved.value(x + 1e-7 * n) - moved.value(x - 1e-7 * n)) / 2e-7;
        error.push_back(std::abs(moved.value(x) / slope));
    }
    INFO("errors ", error[0], " ", error[1], " ", error[2]);
    CHECK(error[0] < 0.01 * 0.2e-3);
    CHECK(std::abs(error[0] / error[1] - 8.0) < 1.6);
    CHECK(std::abs(error[1] / error[2] - 8.0) < 0.8);
}

// Problem    a gyroid wall, both its sides moved by h out and in
// Exact      Steiner: V(h) - V(-h) = 2 A h + 2/3 h^3 int K dA over the two sides, and by Gauss and
//            Bonnet int K dA = 2 pi chi = 4 pi (1 - genus) for each, genus 5 in the cubic cell
// Source     Steiner 1840; genus of the gyroid: Schoen 1970 (3 in the primitive cell, so 5 in the
//            cubic one, which is twice as large; both from memory)
// Tolerance  0.2 %: area and both densities are known to 0.05 % of the density or better
TEST_CASE("printed_solid: a wall grows by its area, as Steiner's formula says") {
    const LevelSetCell cell = find_level_set_cell("gyroid_wall");
    const double a = cell.size.x(), h = 0.01 * a;
    const SolidPlan plan{.periodic = {true, true, true}, .densities = {0.1}};
    const double area = level_set_fraction(cell, offset_for_density(cell, 0.1)).surface_area;
    const double out = printed_solid(cell, plan, 2.0 * h).relative_density;
    const double in = printed_solid(cell, plan, -2.0 * h).relative_density;
    const double curvature = 2.0 * 4.0 * std::numbers::pi * (1.0 - 5.0);
    const double want = (2.0 * area * h + 2.0 / 3.0 * h * h * h * curvature) / (a * a * a);
    INFO("in ", in, " out ", out, " want a difference of ", want);
    CHECK(test::rel_err(out - in, want) < 2e-3);
    CHECK(in < 0.1);
    CHECK(out > 0.1);
}

// Exact      of regular hexagons of width a across the flats with walls t thick, (1 - t/a)^2 is
//            open. Walls that grow keep the corners of the openings sharp. Where they shrink by h a
//            side, the foot of a point beside a corner lies nearer to the next wall, which cuts the
//            corner where t - h < d1 < d2 < t - h/2: h^2/8 / sin 60 on each side of it, 2 (h/a)^2
//            of the hexagon for its six corners
// Source     Gibson and Ashby 1997, sec. 4.3 (density, from memory); the cut: own derivation
// Tolerance  1e-3 of the density, as printed_solid() promises
TEST_CASE("printed_solid: a honeycomb opens by the square of what its walls leave") {
    const LevelSetCell cell = find_level_set_cell("honeycomb_z");
    const SolidPlan plan{.periodic = {true, true, true}, .densities = {0.2}};
    const double a = cell.size.x();
    for (const double offset : {-0.03 * a, 0.05 * a}) {
        const double open = std::sqrt(0.8) - offset / a;
        const double h = std::max(-0.5 * offset / a, 0.0);
        const double want = 1.0 - open * open + 2.0 * h * h;
        CHECK(test::rel_err(printed_solid(cell, plan, offset).relative_density, want) < 1e-3);
    }
}

// Exact      the union of round struts of the larger diameter, measured another way: by the free
//            length of lines along the struts (solid_fraction, 0.01 %), no grid
TEST_CASE("printed_solid: struts grow to the density of struts of the larger diameter") {
    for (const char* name : {"body_centred", "kelvin"}) {
        const StrutCell cell = scaled(find_cell(name), 2.0);
        const double d = diameter_for_density(cell, 0.15);
        for (const double offset : {-0.1 * d, 0.15 * d}) {
            const PrintedSolid p =
                printed_solid(cell, {.periodic = {true, true, true}, .amount = d}, offset);
            const double want =
                solid_fraction(cell, strut_diameters(cell, d + offset)).relative_density;
            INFO(name, " ", p.relative_density, " ", want);
            CHECK(test::rel_err(p.relative_density, want) < 1e-3);
            CHECK(test::rel_err(p.drawn_density, 0.15) < 1e-4);
        }
    }
}

TEST_CASE("printed_solid: no offset, the same solid; too thin or too thick, refused") {
    const LevelSetCell wall = find_level_set_cell("gyroid_wall");
    const SolidPlan plan{.periodic = {true, true, true}, .densities = {0.2}};
    const PrintedSolid same = printed_solid(wall, plan, 0.0);
    CHECK(same.relative_density == same.drawn_density);
    const double a = wall.size.x();
    const Vec3 x = Vec3(0.11, 0.23, 0.37) * a;
    CHECK(same.solid.value(x) == same.drawn.solid.value(x));
    const auto message = [&](double offset) {
        return test::message_of([&] { (void)printed_solid(wall, plan, offset); });
    };
    CHECK(message(-0.5 * a).find("leaves nothing") != std::string::npos);
    CHECK(message(0.6 * a).find("is filled") != std::string::npos);
}

TEST_CASE("moved_surface: periodic faces agree to the last bit") {
    const LevelSetCell wall = find_level_set_cell("gyroid_wall");
    const PrintedSolid p =
        printed_solid(wall, {.periodic = {true, true, true}, .densities = {0.2}}, 0.02e-3);
    const Vec3 box = p.solid.box;
    for (int axis = 0; axis < 3; ++axis)
        for (const double u : {0.0, 0.13, 0.71, 1.0}) {
            Vec3 low = Vec3(u * box.x(), 0.37 * box.y(), 0.59 * box.z());
            low[axis] = 0.0;
            Vec3 high = low;
            high[axis] = box[axis];
            CHECK(p.solid.value(low) == p.solid.value(high));
        }
}
