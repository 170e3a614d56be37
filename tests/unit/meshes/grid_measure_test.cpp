// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/grid_measure.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;

namespace {

const double pi = std::numbers::pi;

BelowLevel measure(const PointField& f, const SampleGrid& grid, double level) {
    return measure_below(sample_field(f, grid, grid.size), grid, level);
}

} // namespace

TEST_CASE("grid measure: a plane cuts off its textbook volume, area and slope") {
    // A linear function is met exactly: {x/2 + y/3 + z/6 < 1/2} in a box of 2 x 3 x 6 is half of it
    // by symmetry, and the cut is the regular-type hexagon of area |grad f| dV/dlevel.
    const PointField f = [](std::span<const Vec3> x, std::span<double> v) {
        for (std::size_t k = 0; k < x.size(); ++k)
            v[k] = x[k].x() / 2.0 + x[k].y() / 3.0 + x[k].z() / 6.0;
    };
    const SampleGrid grid{.size = Vec3(2, 3, 6), .counts = Vec3i(5, 7, 4)};
    CHECK(test::rel_err(measure(f, grid, 1.5).volume, 18.0) < 1e-12);
    // below 1: a corner pyramid, volume 2 * 3 * 6 / 6, area of the triangle through (2,0,0) ..
    const BelowLevel corner = measure(f, grid, 1.0);
    CHECK(test::rel_err(corner.volume, 6.0) < 1e-12);
    CHECK(test::rel_err(corner.area, 0.5 * Vec3(-2, 3, 0).cross(Vec3(-2, 0, 6)).norm()) < 1e-12);
    CHECK(test::rel_err(corner.slope, 18.0) < 1e-12); // d (6 c^3) / dc
    CHECK(measure(f, grid, -0.1).volume == 0.0);
    CHECK(test::rel_err(measure(f, grid, 3.1).volume, 36.0) < 1e-14);
}

TEST_CASE("grid measure: the error of a ball falls with the square of the spacing") {
    const PointField f = [](std::span<const Vec3> x, std::span<double> v) {
        for (std::size_t k = 0; k < x.size(); ++k)
            v[k] = (x[k] - Vec3(0.5, 0.5, 0.5)).norm();
    };
    const double r = 0.37;
    const double volume = 4.0 / 3.0 * pi * r * r * r;
    const double area = 4.0 * pi * r * r;
    std::vector<BelowLevel> at;
    for (const int n : {20, 40, 80})
        at.push_back(measure(f, {.size = Vec3::Ones(), .counts = Vec3i(n, n, n)}, r));
    INFO("volumes ", at[0].volume, " ", at[1].volume, " ", at[2].volume);
    const double order =
        test::order(test::rel_err(at[0].volume, volume), test::rel_err(at[1].volume, volume));
    CHECK(std::abs(order - 2.0) < 0.1);
    CHECK(test::rel_err((4.0 * at[2].volume - at[1].volume) / 3.0, volume) < 1e-5);
    CHECK(test::rel_err((4.0 * at[2].area - at[1].area) / 3.0, area) < 1e-4);
    CHECK(test::rel_err((4.0 * at[2].slope - at[1].slope) / 3.0, area) < 1e-3); // |grad f| = 1
}

TEST_CASE("every other node: a halved grid holds the values of its own points") {
    const PointField f = [](std::span<const Vec3> x, std::span<double> v) {
        for (std::size_t k = 0; k < x.size(); ++k)
            v[k] = x[k].x() + 10.0 * x[k].y() + 100.0 * x[k].z();
    };
    const SampleGrid fine{.size = Vec3(1, 2, 3), .counts = Vec3i(4, 8, 1)};
    SampleGrid coarse;
    const std::vector<double> kept =
        every_other_node(sample_field(f, fine, fine.size), fine, coarse);
    CHECK(coarse.counts == Vec3i(2, 4, 1));
    CHECK(kept == sample_field(f, coarse, coarse.size));
}
