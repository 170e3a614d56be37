// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/uniaxial_table.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace cellgrade;

namespace {

constexpr double stretches[] = {0.25, 0.3, 0.5, 0.7123, 0.8, 0.95, 0.99, 1.0007, 1.3, 2.0, 3.0};

} // namespace

// Exact      uniaxial nominal stress of incompressible solids, references D1 and D3:
//            mu (l - l^-2) (Treloar 1975), times dW/dI1 of Yeoh (1993).
// Tolerance  at kappa/mu = 1e6 the solid is compressible by mu/kappa = 1e-6 (l = 0.25: stress 15
// mu,
//            so 1.5e-5); the table itself is far below.
TEST_CASE("uniaxial table: neo-Hookean and Yeoh follow the incompressible closed forms") {
    const UniaxialTable neo =
        make_uniaxial_table(NeoHookean{.mu = 1.0, .kappa = 1e6, .void_fraction = 0.0});
    const UniaxialTable yeoh = make_uniaxial_table(
        Yeoh{.C10 = 0.5, .C20 = -0.05, .C30 = 0.005, .kappa = 1e6, .void_fraction = 0.0});
    for (const double l : stretches) {
        const double base = l - 1.0 / (l * l);
        const double q = l * l + 2.0 / l - 3.0;
        const double factor = 2.0 * (0.5 - 0.1 * q + 0.015 * q * q);
        INFO("stretch ", l);
        CHECK(test::rel_err(evaluate(neo, l).stress_Pa, base) < 2e-5);
        CHECK(test::rel_err(evaluate(yeoh, l).stress_Pa, base * factor) < 1e-4);
    }
    // Printed digits of D1 and D3.
    CHECK(test::rel_err(evaluate(neo, 0.5).stress_Pa, -3.5) < 1e-5);
    CHECK(test::rel_err(evaluate(neo, 0.7).stress_Pa, -1.340816) < 1e-5);
    CHECK(test::rel_err(evaluate(neo, 3.0).stress_Pa, 2.888889) < 1e-5);
    CHECK(test::rel_err(evaluate(yeoh, 0.5).stress_Pa, -2.789063) < 1e-5);
    CHECK(test::rel_err(evaluate(yeoh, 0.8).stress_Pa, -0.7415984) < 1e-5);
    CHECK(test::rel_err(evaluate(yeoh, 2.0).stress_Pa, 1.26) < 1e-5);
}

// Exact      E (l - 1), by the definition of the law (see LinearElastic).
TEST_CASE("uniaxial table: the linear law is exactly linear up to stretch 1 + 1/nu") {
    const double E = 20e6, nu = 0.45;
    const UniaxialTable table =
        make_uniaxial_table(LinearElastic{.E = E, .nu = nu, .void_fraction = 0.0});
    for (const double l : {0.2, 0.5, 0.9, 0.999, 1.1, 2.0, 3.0, 3.9})
        CHECK(test::rel_err(evaluate(table, l).stress_Pa, E * (l - 1.0)) < 1e-11);
    CHECK(table.stretch_max() < 1.0 + 1.0 / nu);
    CHECK(table.stretch_max() > 0.98 * (1.0 + 1.0 / nu));
    CHECK(test::rel_err(
              free_lateral_stretch(LinearElastic{.E = E, .nu = nu, .void_fraction = 0.0}, 0.6),
              1.0 - nu * (0.6 - 1.0)) < 1e-13);
}

// Tolerance  the interpolation bound of make_uniaxial_table: 1.7e-9 of P near 1 for 2001 knots,
//            and (h^4/384) 120 l^-6 mu at l = 0.25 is 1.7e-8 mu of 15.75 mu.
TEST_CASE("uniaxial table: between knots it equals the three-dimensional law") {
    const AnyLaw laws[] = {
        NeoHookean{.mu = 2e6, .kappa = 1e8, .void_fraction = 0.03},
        Yeoh{.C10 = 8e6, .C20 = -4e5, .C30 = 4e4, .kappa = 6e8, .void_fraction = 0.02},
        LinearElastic{.E = 2e7, .nu = 0.45, .void_fraction = 0.0}};
    for (const AnyLaw& law : laws) {
        const UniaxialTable table = make_uniaxial_table(law);
        for (const double l : {0.3001, 0.5003, 0.8007, 0.9907, 1.0011, 1.4003, 2.5001}) {
            const double t = free_lateral_stretch(law, l);
            const Mat3 F = Vec3(l, t, t).asDiagonal();
            const Mat3 P = std::visit([&](const auto& m) { return m.advance(F, 0.0, {}).P; }, law);
            INFO("law ", law.index(), " stretch ", l);
            CHECK(std::abs(P(1, 1)) < 1e-9 * initial_moduli(law).E0);
            CHECK(test::rel_err(evaluate(table, l).stress_Pa, P(0, 0)) < 1e-8);
        }
        CHECK(test::rel_err(evaluate(table, 1.0).slope_Pa, initial_moduli(law).E0) < 1e-9);
    }
}

TEST_CASE("uniaxial table: stress is the gradient of energy, slope that of stress, everywhere") {
    const UniaxialTable t = make_uniaxial_table(
        NeoHookean{.mu = 1.0, .kappa = 50.0, .void_fraction = 0.02}, 0.3, 2.0, 60);
    const double d = 1e-5;
    for (double l = 0.1; l < 2.5; l += 0.0371) {
        const UniaxialPoint low = evaluate(t, l - d), here = evaluate(t, l),
                            high = evaluate(t, l + d);
        INFO("stretch ", l);
        const double by_energy = (high.energy_J_per_m3 - low.energy_J_per_m3) / (2.0 * d);
        const double by_stress = (high.stress_Pa - low.stress_Pa) / (2.0 * d);
        CHECK(std::abs(by_energy - here.stress_Pa) < 1e-7 * (1.0 + std::abs(here.stress_Pa)));
        CHECK(test::rel_err(by_stress, here.slope_Pa) < 1e-5);
    }
    CHECK(std::abs(evaluate(t, 1.0).energy_J_per_m3) < 1e-15);
}

TEST_CASE("uniaxial table: stress and slope are continuous over knots and at the ends") {
    const UniaxialTable t = make_uniaxial_table(
        NeoHookean{.mu = 1.0, .kappa = 50.0, .void_fraction = 0.0}, 0.3, 2.0, 20);
    for (std::size_t i = 0; i < t.stress_Pa.size(); ++i) {
        const double knot = t.stretch_min + t.stretch_step * static_cast<double>(i);
        const UniaxialPoint left = evaluate(t, knot - 1e-12), right = evaluate(t, knot + 1e-12);
        CHECK(std::abs(left.stress_Pa - right.stress_Pa) < 1e-9);
        CHECK(test::rel_err(left.slope_Pa, right.slope_Pa) < 1e-8);
        CHECK(std::abs(left.energy_J_per_m3 - right.energy_J_per_m3) < 1e-9);
    }
    CHECK(std::isnan(evaluate(t, std::numeric_limits<double>::quiet_NaN()).stress_Pa));
}

// Problem    Yeoh with C20 < 0 and no hardening: P = (l - l^-2) 2 (C10 + 2 C20 q), q = l^2 + 2/l
// - 3. Exact      dP/dl = 0 found by bisection of the closed form below.
TEST_CASE("stable_range: ends where a softening law passes its greatest stress") {
    const auto stress = [](double l) {
        return 2.0 * (l - 1.0 / (l * l)) * (0.5 - 0.1 * (l * l + 2.0 / l - 3.0));
    };
    double low = 1.0, high = 2.0; // by bisection on the sign of the slope
    for (int n = 0; n < 60; ++n) {
        const double mid = 0.5 * (low + high), d = 1e-6;
        (stress(mid + d) > stress(mid - d) ? low : high) = mid;
    }
    const StretchRange range = stable_range(make_uniaxial_table(
        Yeoh{.C10 = 0.5, .C20 = -0.05, .C30 = 0.0, .kappa = 1e4, .void_fraction = 0.0}));
    CHECK(std::abs(range.max - low) < 0.003); // one knot, and mu/kappa
    CHECK(range.min > 0.2);
    const StretchRange neo = stable_range(
        make_uniaxial_table(NeoHookean{.mu = 1.0, .kappa = 1e3, .void_fraction = 0.0}));
    CHECK(neo.min == 0.2);
    CHECK(neo.max > 3.99);
}

TEST_CASE("make_uniaxial_table: refuses a range without 1 and a law with a wrong parameter") {
    const NeoHookean good{.mu = 1.0, .kappa = 10.0, .void_fraction = 0.0};
    CHECK_THROWS_AS((void)make_uniaxial_table(good, 1.1, 2.0), Error);
    CHECK_THROWS_AS((void)make_uniaxial_table(good, 0.5, 0.9), Error);
    CHECK_THROWS_AS((void)make_uniaxial_table(good, 0.5, 2.0, 4), Error);
    CHECK_THROWS_AS(
        (void)make_uniaxial_table(NeoHookean{.mu = -1.0, .kappa = 10.0, .void_fraction = 0.0}),
        Error);
}
