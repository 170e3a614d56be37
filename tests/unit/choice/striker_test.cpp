// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/striker.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;
using std::numbers::pi;
using test::message_of;
using test::rel_err;

TEST_CASE("striker: area of a spherical cap, and height as its inverse") {
    const double R = 0.09;
    const Striker sphere = Striker::sphere(R);
    for (const double z : {1e-6, 1e-3, 0.02, 0.0899}) {
        CHECK(rel_err(sphere.area_at(z), pi * (2.0 * R * z - z * z)) < 1e-9);
        CHECK(rel_err(sphere.height_at(sphere.area_at(z)), z) < 1e-9);
    }
    CHECK(rel_err(sphere.area_at(0.5), pi * R * R) < 1e-12);
    CHECK(sphere.area_at(-1e-3) == 0.0);
    CHECK(std::isinf(sphere.height_at(1.001 * pi * R * R)));
}

TEST_CASE("striker: an ellipsoid of equal axes is the sphere, and near its pole a sphere of radius "
          "a b / c") {
    const Striker round = Striker::ellipsoid({0.09, 0.09, 0.09}), sphere = Striker::sphere(0.09);
    CHECK(rel_err(round.area_at(0.03), sphere.area_at(0.03)) < 1e-14);
    const double a = 0.095, b = 0.075, c = 0.11, z = 1e-6;
    // area = 2 pi (a b / c) z (1 - z / 2c)
    CHECK(rel_err(Striker::ellipsoid({a, b, c}).area_at(z), 2.0 * pi * a * b / c * z) < z / c);
}

TEST_CASE("striker: a flat body has its whole area at once") {
    CHECK(Striker::flat(0.002).area_at(0.0) == 0.002);
    CHECK(Striker::flat(0.002).height_at(0.001) == 0.0);
    CHECK(std::isinf(Striker::flat(0.002).height_at(0.003)));
    CHECK(std::isinf(Striker::flat().area_at(0.0)));
}

TEST_CASE("striker: shapes by name, refusals that name the key") {
    for (const StrikerShape shape :
         {StrikerShape::Flat, StrikerShape::Sphere, StrikerShape::Ellipsoid})
        CHECK(shape_from_name(shape_name(shape)) == shape);
    CHECK(message_of([] { (void)shape_from_name("spher"); }) ==
          "shape: unknown shape 'spher'; did you mean sphere? (known: flat, sphere, ellipsoid)");
    CHECK(message_of([] { Striker::sphere(-0.1).check(); }) ==
          "radius_mm: -100 mm is out of range; 0.1 to 10000 is allowed");
}
