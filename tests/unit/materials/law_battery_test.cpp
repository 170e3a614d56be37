// SPDX-License-Identifier: Apache-2.0
// What every law of the registry must hold; shear modulus 1 Pa throughout.
#include "tests/unit/materials/law_samples.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;
using test::RandomShapes;
using test::sample_law;

namespace {

struct Setting {
    double kappa, void_fraction;
};
// Nearly incompressible without void, compressible without, and with a void as in a grade.
constexpr Setting settings[] = {{1000.0, 0.0}, {2.0, 0.0}, {5.0, 0.6}};

template <class Check>
void for_every_law(Check check) {
    Laws::for_each([&]<class Law>() {
        for (const Setting& s : settings) {
            INFO(Law::kind, " kappa ", s.kappa, " void ", s.void_fraction);
            check(sample_law<Law>(s.kappa, s.void_fraction), s);
        }
    });
}

template <class Law>
Mat3 pk1(const Law& law, const Mat3& F) {
    return law.advance(F, 0.0, {}).P;
}

/// dW/dF by central differences of step 1e-6.
template <class Law>
Mat3 energy_gradient(const Law& law, const Mat3& F) {
    Mat3 P;
    const double h = 1e-6;
    for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j) {
            Mat3 up = F, down = F;
            up(i, j) += h;
            down(i, j) -= h;
            P(i, j) = (law.energy(up) - law.energy(down)) / (2.0 * h);
        }
    return P;
}

/// Mean Cauchy stress at equal stretch of all axes with det F = J.
template <class Law>
double mean_stress(const Law& law, double J) {
    const double s = std::cbrt(J);
    return pk1(law, s * Mat3::Identity())(0, 0) / (s * s);
}

} // namespace

TEST_CASE("every law: free of stress and energy at rest") {
    for_every_law([](const auto& law, const Setting& s) {
        CHECK(pk1(law, Mat3::Identity()).norm() < 1e-14 * s.kappa);
        CHECK(std::abs(law.energy(Mat3::Identity())) < 1e-15);
    });
}

TEST_CASE("every law: turning the body turns the stress, turning the axes before does not matter") {
    for_every_law([](const auto& law, const Setting&) {
        RandomShapes random(1);
        for (int n = 0; n < 20; ++n) {
            const Mat3 F = random.gradient(), R = random.rotation(), P = pk1(law, F);
            CHECK((pk1(law, R * F) - R * P).norm() < 1e-11 * P.norm());
            CHECK((pk1(law, F * R) - P * R).norm() < 1e-11 * P.norm());
            CHECK(test::rel_err(law.energy(R * F), law.energy(F)) < 1e-11);
        }
    });
}

TEST_CASE("every law: Kirchhoff stress is symmetric") {
    for_every_law([](const auto& law, const Setting&) {
        RandomShapes random(2);
        for (int n = 0; n < 20; ++n) {
            const Mat3 F = random.gradient(), tau = pk1(law, F) * F.transpose();
            CHECK((tau - tau.transpose()).norm() < 1e-12 * tau.norm());
        }
    });
}

// Source: references D18; the band is theirs.
TEST_CASE("every law: stress is the gradient of energy") {
    for_every_law([](const auto& law, const Setting&) {
        RandomShapes random(3);
        for (int n = 0; n < 20; ++n) {
            const Mat3 F = random.gradient(), P = pk1(law, F);
            CHECK((energy_gradient(law, F) - P).norm() < 1e-7 * P.norm());
        }
    });
}

// Exact      dsigma = 2 mu deps + (kappa - 2 mu/3) tr(deps) I at F = I; references D17, D18.
// Tolerance  central differences of step 1e-6; the void adds kappa h/v = 8e-6 on the pressed side.
TEST_CASE("every law: small strains show the moduli it states") {
    for_every_law([](const auto& law, const Setting& s) {
        const double h = 1e-6;
        const auto slope = [&](const Mat3& d, int i, int j) {
            const Mat3 I = Mat3::Identity();
            return (pk1(law, I + h * d)(i, j) - pk1(law, I - h * d)(i, j)) / (2.0 * h);
        };
        Mat3 axial = Mat3::Zero(), shear = Mat3::Zero();
        axial(0, 0) = 1.0;
        shear(0, 1) = 1.0;
        const InitialModuli m = law.initial_moduli();
        CHECK(test::rel_err(m.mu0, 1.0) < 1e-12);
        CHECK(test::rel_err(m.kappa0, s.kappa) < 1e-12);
        CHECK(test::rel_err(slope(shear, 0, 1), 1.0) < 1e-8);
        CHECK(test::rel_err(slope(axial, 0, 0), s.kappa + 4.0 / 3.0) < 2e-5);
        CHECK(test::rel_err(slope(axial, 1, 1), s.kappa - 2.0 / 3.0) < 2e-5);
        CHECK(test::rel_err(slope(Mat3::Identity(), 2, 2), 3.0 * s.kappa) < 2e-5);
        CHECK(test::rel_err(m.E0, 9.0 * s.kappa / (3.0 * s.kappa + 1.0)) < 1e-12);
        CHECK(test::rel_err(m.E0, 2.0 * (1.0 + m.nu0)) < 1e-12);
    });
}

TEST_CASE("moduli: Poisson's ratio against bulk to shear ratio") { // references D17
    CHECK(std::abs(moduli_from_shear_and_bulk(1.0, 9.66667).nu0 - 0.45) < 1e-7);
    CHECK(std::abs(moduli_from_shear_and_bulk(1.0, 99.6667).nu0 - 0.495) < 1e-8);
    CHECK(std::abs(moduli_from_shear_and_bulk(1.0, 4999.667).nu0 - 0.4999) < 1e-10);
}

TEST_CASE("every law: mean stress rises with volume and has no bound as the void closes") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        for (const double v : {0.02, 0.3, 0.8}) {
            const Law law = sample_law<Law>(10.0, v);
            const double lock = law.smallest_jacobian();
            CHECK(lock == 1.0 - v);
            double last = -HUGE_VAL;
            for (int n = 1; n <= 400; ++n) {
                const double p = mean_stress(law, lock + (1.5 - lock) * n / 400.0);
                CHECK(p > last);
                last = p;
            }
            // A logarithmic barrier: ten times nearer, ten times the pressure.
            const double near = mean_stress(law, lock + 1e-6 * v);
            const double nearer = mean_stress(law, lock + 1e-7 * v);
            CHECK(near < -1e3 * 10.0 * v);
            CHECK(std::abs(nearer / near - 10.0) < 0.01);
            CHECK(std::isnan(mean_stress(law, lock * (1.0 - 1e-9))));
            CHECK(std::isnan(law.energy(std::cbrt(lock * 0.99) * Mat3::Identity())));
        }
        CHECK(sample_law<Law>(10.0, 0.0).smallest_jacobian() == 0.0);
    });
}

// Exact      hand integration at J = 0.85, v = 0.3 (y = 1/2), kappa = 1:
//            U' = (J - 1/J)/2 - v y^2/(1 - y) = -0.16323529411764706 - 0.15
//            U  = (J^2 - 1 - 2 ln J)/4 + v^2 (ln 2 - 1/2 - 1/8) = 0.01188446474... + 0.09 *
//            0.0681..
TEST_CASE("densifying volume: value and slope at half closed void") {
    const DensifyingVolume volume{.kappa = 1.0, .void_fraction = 0.3};
    CHECK(test::rel_err(volume.slope(0.85), -0.16323529411764706 - 0.15) < 1e-12);
    const double ordinary = (0.85 * 0.85 - 1.0) / 4.0 - 0.5 * std::log(0.85);
    CHECK(test::rel_err(volume.energy(0.85), ordinary + 0.09 * (std::log(2.0) - 0.625)) < 1e-12);
    const DensifyingVolume solid{.kappa = 1.0, .void_fraction = 0.0};
    CHECK(test::rel_err(solid.slope(0.5), -0.75) < 1e-14);
    CHECK(test::rel_err(solid.slope(2.0), 0.75) < 1e-14);
}

// Source: references D20. Work of J 1 -> 0.4 -> 1 by Simpson's rule on unequal ways there and back.
TEST_CASE("every law: closed volume path does no work, and its energy is the work on the way") {
    Laws::for_each([]<class Law>() {
        INFO(Law::kind);
        const Law law = sample_law<Law>(10.0, 0.9);
        const auto work = [&](double from, double to, int n) {
            double sum = 0.0;
            for (int i = 0; i <= 2 * n; ++i) {
                const double weight = i == 0 || i == 2 * n ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
                sum += weight * mean_stress(law, from + (to - from) * i / (2.0 * n));
            }
            return sum * (to - from) / (6.0 * n);
        };
        const double there = work(1.0, 0.4, 2000), back = work(0.4, 1.0, 3100);
        CHECK(std::abs(there + back) < 1e-8 * there);
        CHECK(test::rel_err(law.energy(std::cbrt(0.4) * Mat3::Identity()), there) < 1e-8);
        CHECK(std::isfinite(mean_stress(sample_law<Law>(10.0, 0.0), 0.05)));
        CHECK(std::isfinite(mean_stress(sample_law<Law>(10.0, 0.97), 0.05)));
    });
}

TEST_CASE("every law: a parameter out of range is named with its value and what is right") {
    Laws::for_each([]<class Law>() {
        for (const auto& p : Law::parameters()) {
            Law law = sample_law<Law>(10.0, 0.1);
            CHECK_NOTHROW(law.check());
            law.*p.member = std::numeric_limits<double>::quiet_NaN();
            try {
                law.check();
                FAIL("no error");
            } catch (const Error& e) {
                const std::string message = e.what();
                CHECK(message.find(p.key) != std::string::npos);
                CHECK(message.find("is needed") != std::string::npos);
            }
        }
    });
}
