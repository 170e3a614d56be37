// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_inverse.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/grades/grade_families.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;
using test::crush_shape;
using test::crush_shape_energy;
using test::GradeFamily;
using test::message_of;
using test::rel_err;

namespace {

constexpr double strength(double density) {
    return 2e7 * density * density;
}

GradeCurves power_curves() {
    GradeFamily family;
    family.densities = {0.06, 0.1, 0.16, 0.24};
    family.stress_Pa = [](double e, double density, double, double) {
        return strength(density) * crush_shape(e);
    };
    return {test::family_table(family), {.cell = "octet"}};
}

/// Energy of a density before its stress passes the limit, from the closed form alone.
double absorbed(double density, double limit) {
    const double level = limit / strength(density);
    double e = 0.7;
    if (level < 1.0)
        e = 0.05 * level;
    else if (level < 1.2)
        e = 0.05 + (level - 1.0) / 0.4;
    else if (level < 8.2)
        e = 0.55 + (level - 1.2) / 7.0 * 0.15;
    return strength(density) * crush_shape_energy(e);
}

} // namespace

TEST_CASE("density for a plateau stress: the closed form, and back") {
    const GradeCurves curves = power_curves();
    // Mean of the shape over 20 to 40 %: 1 + 0.4 (0.3 - 0.05) = 1.1.
    for (const double plateau : {0.1e6, 0.3e6, 1.0e6}) {
        const DensityForStress found = density_for_plateau(curves, plateau);
        REQUIRE(found.densities.size() == 1);
        CHECK(found.why_none.empty());
        // asinh is above the logarithm by at most 1e-6 here, the exponent 2 halves it.
        CHECK(rel_err(found.densities[0], std::sqrt(plateau / 1.1 / 2e7)) < 3e-6);
        CHECK(rel_err(curves.curve_at({found.densities[0]}).plateau_stress_Pa(), plateau) < 1e-9);
    }
    const DensityForStress none = density_for_plateau(curves, 5e6);
    CHECK(none.densities.empty());
    CHECK(none.why_none == "plateau stresses of octet go from 0.0792 to 1.267 MPa at relative "
                           "densities 0.06 to 0.24");
    CHECK(message_of([&] { (void)density_for_plateau(curves, 0.0); }) ==
          "plateau stress 0 Pa must be above 0");
}

TEST_CASE("density for a plateau stress: every one, where it does not rise throughout") {
    GradeFamily family;
    const auto up_and_down = [](double density) {
        return density < 0.095 ? density : 0.19 - density;
    };
    family.stress_Pa = [&](double e, double density, double, double) {
        return 1e6 * up_and_down(density) * crush_shape(e);
    };
    const GradeCurves curves(test::family_table(family), {.cell = "octet"});
    const DensityForStress found = density_for_plateau(curves, 0.075e6 * 1.1);
    REQUIRE(found.densities.size() == 2);
    for (const double density : found.densities)
        CHECK(rel_err(curves.curve_at({density}).plateau_stress_Pa(), 0.075e6 * 1.1) < 1e-9);
    CHECK(found.densities[0] < 0.08);
    CHECK(found.densities[1] > 0.1);
}

TEST_CASE("density for an energy below a stress limit: an interval with both ends inside") {
    const GradeCurves curves = power_curves();
    const double limit = 0.4e6, energy = 0.16e6;
    const DensityForEnergy found = density_for_energy(curves, energy, limit);
    REQUIRE(found.ranges.size() == 1);
    const AbsorbingRange& range = found.ranges[0];
    CHECK_FALSE(range.from_is_table_end);
    CHECK_FALSE(range.to_is_table_end);
    // Ends by bisection of the closed form, which absorbs most where the limit ends the plateau.
    const auto solved = [&](double no, double yes) {
        for (int i = 0; i < 60; ++i) {
            const double middle = 0.5 * (no + yes);
            (absorbed(middle, limit) >= energy ? yes : no) = middle;
        }
        return yes;
    };
    CHECK(rel_err(range.from, solved(0.06, 0.12)) < 1e-5);
    CHECK(rel_err(range.to, solved(0.24, 0.12)) < 1e-5);
    CHECK(range.at_from.energy_J_per_m3 >= energy);
    CHECK(rel_err(range.at_from.energy_J_per_m3, energy) < 1e-7);
    CHECK(range.at_best.energy_J_per_m3 >= absorbed(0.125, limit) * (1.0 - 1e-5));
    CHECK(range.best > range.from);
    CHECK(range.best < range.to);
    // What the ends promise, by forward evaluation of the stress.
    for (const double density : {range.from, range.best, range.to}) {
        const AbsorbedEnergy forward = curves.curve_at({density}).absorbed_below(limit);
        CHECK(forward.energy_J_per_m3 >= energy);
        CHECK(curves.stress(0.999 * forward.strain, {density}).value <= limit);
        CHECK(rel_err(curves.energy(forward.strain, {density}).value, forward.energy_J_per_m3) <
              1e-12);
    }
    const AbsorbedEnergy beyond = curves.curve_at({range.to * (1.0 + 1e-6)}).absorbed_below(limit);
    CHECK(beyond.energy_J_per_m3 < energy);
}

TEST_CASE(
    "density for an energy below a stress limit: none, the ends of the table, ends of curves") {
    const GradeCurves curves = power_curves();
    const DensityForEnergy none = density_for_energy(curves, 0.5e6, 0.4e6);
    CHECK(none.ranges.empty());
    CHECK(none.why_none.starts_with("below 0.4 MPa octet absorbs at most "));
    CHECK(none.at_best.energy_J_per_m3 < 0.5e6);
    const DensityForEnergy all = density_for_energy(curves, 1e3, 0.06e6);
    REQUIRE(all.ranges.size() == 1);
    CHECK(all.ranges[0].from_is_table_end);
    const DensityForEnergy soft = density_for_energy(curves, 1e3, 100e6);
    REQUIRE(soft.ranges.size() == 1);
    CHECK(soft.ranges[0].to_is_table_end);
    CHECK(soft.ranges[0].at_from.curve_ends);
    CHECK(rel_err(soft.ranges[0].at_from.strain, 0.7) < 1e-12);
}
