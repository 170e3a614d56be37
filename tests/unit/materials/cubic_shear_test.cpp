// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/cubic_shear.hpp"
#include "materials/laws/registry.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/materials/law_samples.hpp"

#include <doctest/doctest.h>

#include <Eigen/Eigenvalues>

#include <cmath>

using namespace cellgrade;
using test::rel_err;

namespace {

/// Straight tables: G against shear when open, half of it at a loss of volume of 0.4.
CubicShear straight(double G) {
    CubicShear shear{
        .spacing = 0.05, .open = {}, .pressed = {}, .pressed_loss = 0.4, .closed_loss = 0.9};
    for (int k = 0; k < CubicShear::knots; ++k) {
        shear.open[k] = G * 0.05 * (k + 1);
        shear.pressed[k] = 0.5 * shear.open[k];
    }
    return shear;
}

/// A bent one, of both signs of slope, no value of 0.
CubicShear bent() {
    return {.spacing = 0.06,
            .open = {0.10, 0.15, 0.18, 0.17, 0.16, 0.18, 0.23, 0.30},
            .pressed = {0.02, 0.03, 0.06, 0.10, 0.15, 0.21, 0.28, 0.36},
            .pressed_loss = 0.3,
            .closed_loss = 0.9};
}

TabulatedFoam foam(const CubicShear& shear) {
    TabulatedFoam law{};
    law.spacing = 0.05;
    int knot = 0;
    for (const double s : {0.10, 0.13, 0.14, 0.20, 0.40})
        law.set_stress(knot++, s);
    law.side = 0.3;
    law.closing = 1.0;
    law.closing_exponent = 4.0;
    law.void_fraction = 0.9;
    law.set_cubic_shear(shear);
    return law;
}

Mat3 pk1(const TabulatedFoam& law, const Mat3& F) {
    return law.advance(F, 0.0, {}).P;
}

} // namespace

// Exact      by hand: W = G g^2/2 with g = C_xz = a s for F = [a 0 s; 0 1 0; 0 0 h] at J = 1, so
//            dW/ds = G a^2 s, dW/da = G a s^2 + (dW/dJ) dJ/da. At J = 1 the share and its slope
//            are 0.
TEST_CASE("cubic shear: adds the shear stress of two crossing struts, at rest volume") {
    constexpr double G = 3.0, a = 1.25, s = 0.1;
    Mat3 F = Vec3(a, 1.0, 1.0 / a).asDiagonal();
    F(0, 2) = s;
    const Mat3 added = pk1(foam(straight(G)), F) - pk1(foam(CubicShear{}), F);
    CHECK(rel_err(added(0, 2), G * a * a * s) < 1e-13);
    CHECK(rel_err(added(0, 0), G * a * s * s) < 1e-13);
    CHECK(std::abs(added(1, 1)) < 1e-14);
}

// Exact      by hand: half way, c = 0.2 of 0.4, the share is 1/2 and its slope 4/3 per c_p, so the
//            shear modulus is 3/4 G and dW/dJ = -(4/3)/0.4 (-G/2) g^2/2.
TEST_CASE("cubic shear: goes from the open to the pressed table by the volume lost") {
    constexpr double G = 2.0, h = 0.8, s = 0.1;
    Mat3 F = Vec3(1.0, 1.0, h).asDiagonal();
    F(0, 2) = s;
    const Mat3 added = pk1(foam(straight(G)), F) - pk1(foam(CubicShear{}), F);
    CHECK(rel_err(added(0, 2), 0.75 * G * s) < 1e-13);
    const double by_volume = 4.0 / 3.0 / 0.4 * 0.5 * G * 0.5 * s * s;
    CHECK(rel_err(added(1, 1), h * by_volume) < 1e-12); // dJ/dF_yy = h
    F(2, 2) = 0.6;                                      // the pressed state
    Mat3 pressed = pk1(foam(straight(G)), F) - pk1(foam(CubicShear{}), F);
    CHECK(rel_err(pressed(0, 2), 0.5 * G * s) < 1e-12);
    CHECK(std::abs(pressed(1, 1)) < 1e-12);
    F(2, 2) = 0.35; // half way to the closed void of 0.9
    pressed = pk1(foam(straight(G)), F) - pk1(foam(CubicShear{}), F);
    CHECK(rel_err(pressed(0, 2), 0.25 * G * s) < 1e-12);
}

TEST_CASE("cubic shear: says nothing while the axes keep their right angles") {
    for (const double h : {1.2, 0.9, 0.6}) {
        const Mat3 F = Vec3(1.05, 0.97, h).asDiagonal();
        CHECK((pk1(foam(bent()), F) - pk1(foam(CubicShear{}), F)).norm() < 1e-15);
    }
}

// Exact      dW/dF by central differences, objectivity, and the 24 turns of the cube: quarter turns
//            about two axes make them all. An eighth turn is not one of them.
TEST_CASE("cubic shear: stress is the slope of the energy, objective, and of cubic symmetry") {
    const TabulatedFoam law = foam(bent());
    test::RandomShapes random(23);
    const Mat3 about_z = Eigen::AngleAxisd(0.5 * M_PI, Vec3::UnitZ()).toRotationMatrix();
    const Mat3 about_x = Eigen::AngleAxisd(0.5 * M_PI, Vec3::UnitX()).toRotationMatrix();
    const Mat3 eighth = Eigen::AngleAxisd(0.25 * M_PI, Vec3::UnitZ()).toRotationMatrix();
    double told_apart = 0.0;
    for (int n = 0; n < 40; ++n) {
        const Mat3 F = random.gradient(), P = pk1(law, F), Q = random.rotation();
        constexpr double d = 1e-6;
        for (int i = 0; i < 9; ++i) {
            Mat3 up = F, down = F;
            up(i / 3, i % 3) += d;
            down(i / 3, i % 3) -= d;
            const double slope = (law.energy(up) - law.energy(down)) / (2.0 * d);
            CHECK(std::abs(slope - P(i / 3, i % 3)) < 1e-7);
        }
        CHECK((pk1(law, Q * F) - Q * P).norm() < 1e-12);
        const double W = law.energy(F);
        CHECK(std::abs(law.energy(F * about_z) - W) < 1e-13);
        CHECK(std::abs(law.energy(F * about_x) - W) < 1e-13);
        told_apart = std::max(told_apart, std::abs(law.energy(F * eighth) - W) / W);
    }
    CHECK(told_apart > 0.1);
}

// Exact      d2W/dF2 by differences of the added stress; at rest its largest eigenvalue is 2 a'(0),
//            and the bound is that
TEST_CASE("cubic shear: its stiffness is bounded for the stable step, and exactly at rest") {
    const CubicShear shear = bent();
    CHECK(rel_err(shear.largest_stiffness(Mat3::Identity(), 1.0),
                  2.0 * shear.open[0] / shear.spacing) < 1e-12);
    const TabulatedFoam with = foam(shear), without = foam(CubicShear{});
    test::RandomShapes random(7);
    for (int n = 0; n < 60; ++n) {
        const Mat3 F = random.gradient();
        Eigen::Matrix<double, 9, 9> A;
        constexpr double d = 1e-6;
        for (int i = 0; i < 9; ++i) {
            Mat3 up = F, down = F;
            up(i / 3, i % 3) += d;
            down(i / 3, i % 3) -= d;
            const Mat3 slope =
                (pk1(with, up) - pk1(without, up) - pk1(with, down) + pk1(without, down)) /
                (2.0 * d);
            for (int k = 0; k < 9; ++k)
                A(k, i) = slope(k / 3, k % 3);
        }
        const Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, 9, 9>> solver(
            0.5 * (A + A.transpose()));
        CHECK(shear.largest_stiffness(F.transpose() * F, F.determinant()) >
              solver.eigenvalues()[8] - 1e-6);
    }
}

TEST_CASE("cubic shear: packs answer as the scalar does") {
    const CubicShear shear = bent();
    test::RandomShapes random(3);
    for (int n = 0; n < 20; ++n) {
        const Mat3 F = random.gradient();
        const lane::Symmetric<double> C = lane::symmetric_of(F.transpose() * F);
        const double J = F.determinant();
        const lane::Symmetric<Pack> packed(Pack(C.xx), Pack(C.yy), Pack(C.zz), Pack(C.yz),
                                           Pack(C.xz), Pack(C.xy));
        const auto one = shear.stress(C, J);
        const auto many = shear.stress(packed, Pack(J));
        CHECK(std::abs(static_cast<double>(many.xz[0]) - one.xz) < 1e-15);
        CHECK(std::abs(static_cast<double>(many.by_volume[0]) - one.by_volume) < 1e-15);
    }
}

TEST_CASE("cubic shear: a card has the tables and what they need, or none of it") {
    TabulatedFoam law = foam(bent());
    law.check();
    law.shear_spacing = 0.0;
    CHECK_THROWS_WITH_AS(law.check(), doctest::Contains("the shear tables need shear_knot_spacing"),
                         Error);
    law = foam(bent());
    law.pressed_loss = 0.0;
    CHECK_THROWS_WITH_AS(law.check(), doctest::Contains("pressed_volume_loss"), Error);
}
