// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/registry.hpp"
#include "materials/laws/volume.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/materials/law_samples.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

using namespace cellgrade;
using test::rel_err;

namespace {

TabulatedFoam foam(std::initializer_list<double> stresses, double spacing = 0.05) {
    TabulatedFoam law{};
    law.spacing = spacing;
    int knot = 0;
    for (const double s : stresses)
        law.set_stress(knot++, s);
    law.closing = 1.0;
    law.closing_exponent = 4.0;
    return law;
}

Mat3 pk1(const auto& law, const Mat3& F) {
    return law.advance(F, 0.0, {}).P;
}

std::string complaint(const TabulatedFoam& law) {
    try {
        law.check();
    } catch (const Error& e) {
        return e.what();
    }
    return "";
}

} // namespace

// Exact      a straight table is w = m_0 e^2 / 2, the solid linear in the stretch tensor: Biot
// stress
//            E (U - I) for nu = 0, and L tr(U - I) I has no part there. LinearElastic is checked
//            against its own closed forms.
TEST_CASE("tabulated foam: a straight table is the solid linear in stretch, in any shape") {
    const TabulatedFoam law = foam({0.1, 0.2, 0.3, 0.4, 0.5});
    const LinearElastic linear{.E = 2.0, .nu = 0.0, .void_fraction = 0.0};
    test::RandomShapes random(11);
    for (int n = 0; n < 50; ++n) {
        const Mat3 F = random.gradient(), want = pk1(linear, F);
        CHECK((pk1(law, F) - want).norm() < 1e-12 * (1.0 + want.norm()));
        CHECK(std::abs(law.energy(F) - linear.energy(F)) < 1e-12 * (1.0 + linear.energy(F)));
    }
}

// Exact      uniform quadratic B-splines: (s_(k-1) + 6 s_k + s_(k+1))/8 at a knot, the mean of two
//            halfway. Source: de Boor (1978), A Practical Guide to Splines, ch. X (from memory); by
//            hand from the ramp: a kink of c adds c h/8 at its own place and nothing at h/2.
TEST_CASE("tabulated foam: a column without lateral growth answers with its table") {
    const TabulatedFoam law = foam({0.10, 0.13, 0.14, 0.20, 0.40});
    const auto nominal = [&](double e) { return -pk1(law, Vec3(1, 1, 1 - e).asDiagonal())(2, 2); };
    CHECK(rel_err(nominal(0.02), 0.04) < 1e-13); // straight before the first corner is felt
    CHECK(rel_err(nominal(0.05), (0.0 + 6.0 * 0.10 + 0.13) / 8.0) < 1e-13);
    CHECK(rel_err(nominal(0.075), 0.5 * (0.10 + 0.13)) < 1e-13);
    CHECK(rel_err(nominal(0.15), (0.13 + 6.0 * 0.14 + 0.20) / 8.0) < 1e-13);
    CHECK(rel_err(nominal(0.30), 0.40 + 0.20) < 1e-13); // straight past the last knot
    CHECK(rel_err(nominal(-0.4), -0.8) < 1e-13);        // and in tension
    CHECK(std::abs(pk1(law, Vec3(1, 1, 0.7).asDiagonal())(0, 0)) < 1e-15);
}

// Exact      by hand: W = w + L (J - 1)^2/2, so P_zz = -p + L (J - 1) and P_xx = L (J - 1) l at
//            F = diag(1, 1, l); nu = L / (m_0 + 2 L).
TEST_CASE("tabulated foam: the side modulus presses sideways and sets Poisson's ratio") {
    TabulatedFoam law = foam({0.10, 0.13, 0.14});
    law.side = 1.0;
    const Mat3 P = pk1(law, Vec3(1, 1, 0.925).asDiagonal());
    CHECK(rel_err(P(2, 2), -0.115 - 0.075) < 1e-13);
    CHECK(rel_err(P(0, 0), -0.075 * 0.925) < 1e-13);
    CHECK(rel_err(law.initial_moduli().nu0, 1.0 / 4.0) < 1e-14);
    CHECK(rel_err(law.initial_moduli().E0, 2.5) < 1e-14); // m_0 (m_0 + 3 L)/(m_0 + 2 L)
}

// Exact      D y^n/(1 - y) with y = 1/2; for n = 2 and D = kappa v it is VoidClosure.
TEST_CASE("late closure: value by hand, and the ordinary void at exponent 2") {
    const LateClosure late{.modulus = 3.0, .exponent = 5.0, .void_fraction = 0.8};
    CHECK(rel_err(late.slope(0.4), 3.0 / 16.0) < 1e-14);
    const double sum = 0.5 + 0.125 + 1.0 / 24.0 + 1.0 / 64.0 + 1.0 / 160.0;
    CHECK(rel_err(late.energy(0.4), 3.0 * 0.8 * (std::log(2.0) - sum)) < 1e-12);
    const LateClosure second{.modulus = 7.0 * 0.3, .exponent = 2.0, .void_fraction = 0.3};
    const VoidClosure ordinary{.kappa = 7.0, .void_fraction = 0.3};
    for (const double c : {-0.1, 0.0, 0.05, 0.2, 0.299}) {
        CHECK(std::abs(second.slope(c) - ordinary.slope(c)) <= 1e-14 * ordinary.slope(c));
        CHECK(std::abs(second.energy(c) - ordinary.energy(c)) < 1e-12);
    }
    CHECK(std::isnan(late.slope(0.8)));
    CHECK(std::isnan(late.energy(0.81)));
}

TEST_CASE("tabulated foam: what is wrong with several parameters together") {
    CHECK(complaint(foam({0.1, 0.2})).empty());
    TabulatedFoam law = foam({0.1, 0.2, 0.3});
    law.set_stress(4, 0.5);
    CHECK(complaint(law).find("stress_05_MPa is given without instantaneous_stress_04") !=
          std::string::npos);
    CHECK(complaint(foam({0.1, 0.2}, 0.5)).find("below 1 is needed") != std::string::npos);
    law = foam({0.1, 0.2});
    law.closing_exponent = 2.5;
    CHECK(complaint(law).find("a whole number from 2 to 40") != std::string::npos);
    law = foam({0.1, 0.2});
    law.side = -0.7;
    CHECK(complaint(law).find("must be above 0") != std::string::npos);
}
