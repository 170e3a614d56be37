// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_stiffness.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <Eigen/Geometry>
#include <Eigen/LU>

#include <numbers>

using namespace cellgrade;
using test::rel_err;

namespace {

// Standard strut: round, r 0.5 mm, L 10 mm, E 50 MPa, nu 0.45, 1200 kg/m^3.
constexpr double r = 0.5e-3, L = 10e-3, rho = 1200.0;
const SectionModuli moduli = section_moduli(50e6, 0.45);
const Vec3 skew = L * Vec3(1.0, -2.0, 0.5).normalized();

/// Rigid motion of both ends: displacement u and small rotation w about end a.
Vec12 rigid(const Vec3& axis, const Vec3& u, const Vec3& w) {
    Vec12 d;
    d << u, w, u + w.cross(axis), w;
    return d;
}

/// Displacements of end b with end a clamped.
Eigen::Matrix<double, 6, 1> cantilever(const Vec3& axis, const Eigen::Matrix<double, 6, 1>& load) {
    const Mat6 K = beam_stiffness(axis, r, moduli).bottomRightCorner<6, 6>();
    return K.inverse() * load;
}

} // namespace

TEST_CASE("beam stiffness: shear factor of a round section is that of Cowper (1966)") {
    CHECK(rel_err(cowper_shear_factor(0.3), 0.886364) < 1e-6);
    CHECK(rel_err(cowper_shear_factor(0.45), 0.896907) < 1e-6);
    CHECK(rel_err(cowper_shear_factor(0.5), 0.9) < 1e-12);
}

TEST_CASE("beam stiffness: cantilever deflects as Timoshenko says, in any direction") {
    // textbook: P L^3/3EI + P L/(kappa G A), slope P L^2/2EI, twist T L/GJ; P 0.01 N, T 1e-5 N m
    const Vec3 across = skew.cross(Vec3(0.2, 0.1, 1.0)).normalized();
    Eigen::Matrix<double, 6, 1> load;
    load << 0.01 * across, Vec3::Zero();
    const auto tip = cantilever(skew, load);
    CHECK(rel_err(tip.head<3>().dot(across), 1.366356e-3) < 1e-6);
    CHECK(rel_err(tip.tail<3>().norm(), 0.2037183) < 1e-6);
    CHECK(rel_err(tip.tail<3>().dot(skew.normalized().cross(across)), 0.2037183) < 1e-6);
    load << Vec3::Zero(), 1e-5 * skew.normalized();
    CHECK(rel_err(cantilever(skew, load).tail<3>().dot(skew.normalized()), 0.05907831) < 1e-6);
}

TEST_CASE("beam stiffness: rigid motion costs nothing and carries the whole mass") {
    const Mat12 K = beam_stiffness(skew, r, moduli);
    const Mat12 M = beam_consistent_mass(skew, r, moduli, rho);
    const double mass = rho * std::numbers::pi * r * r * L;
    for (int i = 0; i < 3; ++i) {
        const Vec12 shift = rigid(skew, Vec3::Unit(i), Vec3::Zero());
        const Vec12 turn = rigid(skew, Vec3::Zero(), Vec3::Unit(i));
        CHECK((K * shift).norm() < 1e-12 * K.norm());
        CHECK((K * turn).norm() < 1e-12 * K.norm());
        CHECK(rel_err(shift.dot(M * shift), mass) < 1e-12);
    }
    // a rod about its end, transverse axis: m (L^2/3 + r^2/4), textbook
    const Vec12 spin = rigid(skew, Vec3::Zero(), skew.cross(Vec3::UnitX()).normalized());
    CHECK(rel_err(spin.dot(M * spin), mass * (L * L / 3.0 + r * r / 4.0)) < 1e-12);
}

TEST_CASE("beam stiffness: an axial force resists a small turn by N L") {
    // string: the ends of a turned bar under tension N pull back with N times the turn
    const double N = 0.3;
    const Mat12 K = beam_geometric_stiffness(skew, r, moduli, N);
    const Vec3 w = 1e-3 * skew.cross(Vec3::UnitY()).normalized();
    const Vec12 turn = rigid(skew, Vec3::Zero(), w);
    CHECK(rel_err(turn.dot(K * turn), N * L * w.squaredNorm()) < 1e-12);
    CHECK((K - K.transpose()).norm() < 1e-14 * K.norm());
    CHECK((K * rigid(skew, Vec3(1, 2, 3), Vec3::Zero())).norm() < 1e-12 * K.norm());
}
