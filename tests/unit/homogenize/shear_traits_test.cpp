// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/shear_traits.hpp"

#include "solver/homogenize/polymer_modulus.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

/// Compression to 0.2, then shear with stress G g (1 - g) to g = 0.75; turns down after g = 0.5.
CrushCurve sheared(double G) {
    CrushCurve curve;
    for (int i = 0; i <= 200; ++i) {
        curve.nominal_strain.push_back(1e-3 * i);
        curve.nominal_stress_Pa.push_back(1e3 * i);
        curve.shear_strain.push_back(0.0);
        curve.shear_stress_Pa.push_back(0.0);
    }
    for (int i = 1; i <= 750; ++i) {
        const double g = 1e-3 * i;
        curve.nominal_strain.push_back(0.2);
        curve.nominal_stress_Pa.push_back(2e5 - 1e5 * g);
        curve.shear_strain.push_back(g);
        curve.shear_stress_Pa.push_back(G * g * (1.0 - g));
    }
    curve.turn = static_cast<Index>(curve.nominal_strain.size());
    return curve;
}

} // namespace

// Exact      of the parabola: slope of the least-squares line over [0, d] of g - g^2 is 1 - d, d =
// 0.05; the
//            integral to b is b^2/2 - b^3/3; its top is 1/4 at g = 1/2.
// Tolerance  trapezoids of 1e-3: relative error of the integral below 1e-5
TEST_CASE("shear_traits: of a parabola they are its closed forms") {
    const double G = 3e6;
    const ShearTraits t = shear_traits(sheared(G));
    CHECK(test::rel_err(t.shear_modulus_Pa, G * (1.0 - 0.05)) < 1e-9);
    CHECK(test::rel_err(t.shear_stress_at_quarter_Pa, G * 0.1875) < 1e-9);
    CHECK(test::rel_err(t.shear_strength_Pa, G * 0.25) < 1e-12);
    CHECK(std::abs(t.shear_strain_at_strength - 0.5) < 1e-12);
    CHECK(test::rel_err(t.shear_energy_J_per_m3, G * (0.75 * 0.75 / 2.0 - 0.421875 / 3.0)) < 1e-5);
    CHECK(test::rel_err(t.normal_stress_before_Pa, 2e5) < 1e-12);
    CHECK(test::rel_err(t.normal_stress_after_Pa, 1.25e5) < 1e-12);
}

TEST_CASE("shear_traits: nothing is known of a curve without shear, little of a short one") {
    CrushCurve plain{.nominal_strain = {0.0, 0.1}, .nominal_stress_Pa = {0.0, 1.0}, .turn = 2};
    CHECK(std::isnan(shear_traits(plain).shear_modulus_Pa));
    CHECK(std::isnan(shear_traits(plain).normal_stress_before_Pa));
    CrushCurve cut = sheared(1e6);
    for (auto* column :
         {&cut.nominal_strain, &cut.nominal_stress_Pa, &cut.shear_strain, &cut.shear_stress_Pa})
        column->resize(300);
    cut.turn = 300;
    const ShearTraits t = shear_traits(cut);
    CHECK(std::isnan(t.shear_stress_at_quarter_Pa));
    CHECK(test::rel_err(t.shear_modulus_Pa, 1e6 * 0.95) < 1e-9);
    cut.shear_stress_Pa.pop_back();
    CHECK_THROWS((void)shear_traits(cut));
}

// Exact      long-term and instantaneous moduli at both ends; between, the mean of the relaxation
//            function, here of one term: g(t) = 1/2 + 1/2 exp(-t), over t = 2: 1/2 + (1 - e^-2)/4
TEST_CASE("polymer modulus: the secant of a ramp between the two ends") {
    PolymerCard card{.name = "p",
                     .source = "invented",
                     .density_kg_per_m3 = 1000.0,
                     .law = NeoHookean{.mu = 1e6, .kappa = 1e9, .void_fraction = 0.0}};
    card.prony = {{.share = 0.5, .time_s = 1.0}};
    const auto youngs = [](double mu) { return 9.0 * 1e9 * mu / (3.0 * 1e9 + mu); };
    CHECK(test::rel_err(polymer_modulus_Pa(card, 0.0), youngs(0.5e6)) < 1e-12);
    CHECK(test::rel_err(polymer_modulus_Pa(card, 1e12), youngs(1e6)) < 1e-9);
    const double between = 0.5 + (1.0 - std::exp(-2.0)) / 4.0;
    CHECK(test::rel_err(polymer_modulus_Pa(card, polymer_modulus_strain / 2.0),
                        youngs(between * 1e6)) < 1e-12);
}
