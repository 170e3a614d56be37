// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/homogenize/elastic_constants.hpp"
#include "solver/homogenize/polymer_modulus.hpp"
#include "solver/homogenize/power_law.hpp"
#include "solver/homogenize/stiffness.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

using namespace cellgrade;

namespace {

/// E along z of the endless frame over the polymer's modulus, as a power of relative density.
PowerLaw stiffness_law(const std::string& name) {
    const StrutCell cell = find_cell(name);
    std::vector<double> density, modulus;
    for (const double rb : {0.005, 0.0075, 0.01, 0.015, 0.02}) {
        const ElasticStiffness s =
            elastic_stiffness(cell, diameters_for_density(cell, rb), section_moduli(1.0, 0.45));
        density.push_back(rb);
        modulus.push_back(youngs_modulus_along(compliance(s.C), Vec3::UnitZ()));
    }
    return fit_power_law(density, modulus);
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Problem    Young's modulus of endless lattices of 0.5 to 2 % density, along a cube axis
// Exact      bending cells E/E_s = C rb^2 (Gibson & Ashby 1997, references F1), stretching ones
//            C rb (Deshpande, Fleck & Ashby 2001, F11: C = 1/9)
// Tolerance  exponent 0.1 (F1). Slender limits: rb is that of the printed solid here, without the
//            overlap at joints, which grows as the root of rb: up to 8 % of it at 2 % density, so
//            the exponent is up to 0.05 n above the limit
TEST_CASE("scaling: stiffness of slender cells grows with the power of their kind") {
    for (const std::string name : {"kelvin", "body_centred", "diamond"}) {
        const PowerLaw law = stiffness_law(name);
        INFO(name, " exponent ", law.exponent, ", coefficient ", law.coefficient);
        CHECK(std::abs(law.exponent - 2.0) < 0.1);
        CHECK(law.exponent_high - law.exponent_low < 0.1);
        CHECK(law.worst_share < 0.01);
    }
    const PowerLaw octet = stiffness_law("octet");
    INFO("octet exponent ", octet.exponent, ", coefficient ", octet.coefficient);
    CHECK(std::abs(octet.exponent - 1.0) < 0.1);
    CHECK(octet.exponent_high - octet.exponent_low < 0.1);
    // over the range the modulus itself, not the extrapolated coefficient
    CHECK(std::abs(octet.at(0.01) / (0.01 / 9.0) - 1.0) < 0.1);
}

// Problem    plateau and densification of crushed cells of 6 to 15 %, endless sideways, two high
// Exact      inclined struts (Zhu, Mills & Knott 1997; references B17t, F24, F14, F10), mean over
//            20 to 40 % strain. Body-centred: sigma l^4 / EI = 3 p, mean p 2.55 at 54.7 degrees,
//            and EI / l^4 = rb^2 E_s / (108 pi): 0.0225 rb^2 E_s. Kelvin: sigma l^4 / EI = p / 2,
//            mean p 3.53 at 45 degrees, and E_s I / l^4 = 0.0707 rb^2 E_s: 0.125 rb^2 E_s. Foams,
//            of cells of all shapes: 0.05 rb^2 E_s within a factor of 2 (Gibson & Ashby 1997, F2).
//            Densification of foams 1 - 1.4 rb within 0.05 (F3)
// Tolerance  a factor of 2.25 up, none down: slender struts from joint to joint are the limit;
// joints
//            take up to a third of the strut at 15 % density, and the bending length enters
//            squared, 1 / (2/3)^2 = 2.25 (measured: body-centred 2.03 at 15 %). Exponent 2 with
//            that growth: 1.9 to 2.6. F3 is where a foam is solid; the last maximum of the
//            efficiency comes sooner, so F3 bounds from above alone.
TEST_CASE("scaling: plateaus of crushed cells grow with the square of density" * doctest::skip()) {
    const PolymerCard polymer = find_card("medium");
    for (const std::string name : {"body_centred", "kelvin"}) {
        const double theory = name == "kelvin" ? 0.125 : 0.0225;
        std::vector<double> density, plateau;
        for (const double rb : {0.06, 0.1, 0.15}) {
            CrushSetup setup{.mesh = {}, .polymer = polymer};
            setup.mesh = build_specimen(
                find_cell(name), {.tiles = {1, 1, 2}, .sides = Sides::Periodic, .densities = {rb}});
            setup.loading = {.strain_rate_per_s = 0.01, .to_strain = 0.85, .to_stress_ratio = 8.0};
            setup.platen_friction = setup.strut_friction = 0.3;
            const CrushRecord record = run_crush(setup);
            CHECK(record.trusted());
            const CrushTraits traits = crush_traits(
                crush_curve(record), {.relative_density = rb, .solid_density_kg_per_m3 = 1150.0});
            const double E_s = polymer_modulus_Pa(polymer, 0.01);
            density.push_back(rb);
            plateau.push_back(traits.plateau_stress_Pa / E_s);
            const double over_theory = plateau.back() / (theory * rb * rb);
            INFO(name, " ", rb, ": plateau over theory ", over_theory, ", densification ",
                 traits.densification_strain);
            CHECK(over_theory > 1.0);
            CHECK(over_theory < 2.25);
            CHECK(traits.densification_strain < 1.0 - 1.4 * rb + 0.05);
            // a plateau read from 20 to 40 % means something only before densification
            CHECK(traits.densification_strain > 0.4);
        }
        const PowerLaw law = fit_power_law(density, plateau);
        INFO(name, " exponent ", law.exponent, " from ", law.exponent_low, " to ",
             law.exponent_high);
        CHECK(law.exponent > 1.9);
        CHECK(law.exponent < 2.6);
    }
}

TEST_SUITE_END();
