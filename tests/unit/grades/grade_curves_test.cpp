// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_curves.hpp"

#include "solver/core/error.hpp"
#include "solver/grades/trait_fields.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/noise.hpp"
#include "tests/support/scratch.hpp"
#include "tests/unit/grades/grade_families.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace cellgrade;
using test::crush_shape;
using test::GradeFamily;
using test::message_of;
using test::rel_err;

namespace {

const GradeSelection octet{.cell = "octet"};

// Power laws of open cells: modulus over density squared (Gibson & Ashby 1997), with a power law of
// strain rate and an exponential one of temperature. Logarithms of all are straight lines.
double power_law(double e, double density, double rate, double celsius) {
    const double warm = std::isnan(celsius) ? 1.0 : std::exp(-0.02 * celsius);
    return 2e7 * density * density * std::pow(rate / 0.01, 0.05) * warm * crush_shape(e);
}

// Tolerance   3 (d / s)^2 of what asinh is above the logarithm (GradeCurves), d being 1/1000 of the
// smallest plateau stress and s the smallest stress around; and rounding.
double family_tolerance(double smallest_plateau, double smallest_stress) {
    const double d = 1e-3 * smallest_plateau;
    return 3.0 * std::pow(d / smallest_stress, 2.0) + 1e-12;
}

} // namespace

TEST_CASE("GradeCurves: power laws of density, rate and temperature are met to the derived bound") {
    GradeFamily family{.stress_Pa = power_law};
    family.rates_per_s = {0.01, 1.0, 100.0};
    family.temperatures_C = {-10.0, 20.0, 40.0};
    const GradeCurves curves(test::family_table(family), octet);
    CHECK(curves.note().empty());
    CHECK(curves.left_out().empty());
    // Corners of a shape are kept; between rows stress and shape are straight lines alike.
    const double smallest = 1.1 * power_law(0.05, 0.06, 0.01, 40.0);
    for (const double density : {0.06, 0.067, 0.1, 0.131})
        for (const double rate : {0.01, 0.3, 100.0})
            for (const double celsius : {-10.0, 3.0, 25.0})
                for (const double e : {0.01, 0.05, 0.203, 0.4, 0.55, 0.6, 0.69}) {
                    const GradePoint at{density, rate, celsius};
                    const double want = power_law(e, density, rate, celsius);
                    const double around = power_law(e, 0.06, 0.01, 40.0);
                    CHECK(rel_err(curves.stress(e, at).value, want) <
                          family_tolerance(smallest, around));
                    const double energy = want / crush_shape(e) * test::crush_shape_energy(e);
                    CHECK(rel_err(curves.energy(e, at).value, energy) <
                          family_tolerance(smallest, power_law(0.002, 0.06, 0.01, 40.0)));
                }
}

TEST_CASE("GradeCurves: densification that comes earlier in denser grades is followed") {
    // stress = 5e6 density^1.5 g(e / e_d), e_d = 1 - 1.4 density (locking of open cells, Gibson &
    // Ashby 1997), and g rises by a power of 12, so that without alignment the curve between two
    // grades would be wrong by half.
    const auto locking = [](double density) { return 1.0 - 1.4 * density; };
    const auto g = [](double x) {
        return std::tanh(x / 0.05) + 0.2 * x + 20.0 * std::pow(x, 12.0);
    };
    const auto stress = [&](double e, double density, double, double) {
        return 5e6 * std::pow(density, 1.5) * g(e / locking(density));
    };
    GradeFamily family{.stress_Pa = stress};
    family.last_strain = 0.85;
    family.rows = 1701;
    const GradeCurves curves(test::family_table(family), octet);
    CHECK(curves.note().empty());
    // Tolerance: e_k is proportional to e_d, whose third derivative over x = log density is -1.4
    // density, a share of 0.109 of e_d at 0.07. Between the two lightest grades, h = 0.288 and then
    // k = 0.223 apart, the slope is wrong by h (h + k) / 6 of it at the end and h k / 6 inside, the
    // cubic by at most h/4 times their mean: 1.4e-4. A power of 12 makes 1.7e-3 of that.
    for (const double density : {0.065, 0.07, 0.09, 0.11, 0.125})
        for (double e = 0.02; e < 0.9 * locking(density); e += 0.01)
            CHECK(rel_err(curves.stress(e, {density}).value, stress(e, density, 0, 0)) < 2e-3);
}

TEST_CASE("GradeCurves: a grade of the table gives back its own curve") {
    GradeFamily family{.stress_Pa = power_law};
    family.unload = true;
    const GradeTable table = test::family_table(family);
    const GradeCurves curves(table, octet);
    for (const GradeRow& row : table.rows) {
        const GradeCurve curve = curves.curve_at({row.grade.relative_density, 0.01});
        const Index n = static_cast<Index>(row.curve.nominal_strain.size());
        CHECK(rel_err(curve.last_strain(), 0.7) < 1e-15);
        for (Index i = 1; i < row.curve.turn - 1; ++i)
            CHECK(rel_err(curve.stress_at(row.curve.nominal_strain[i]),
                          row.curve.nominal_stress_Pa[i]) < 1e-12);
        for (Index i = row.curve.turn; i < n - 1; ++i)
            CHECK(rel_err(curve.unloading_stress_at(row.curve.nominal_strain[i]),
                          row.curve.nominal_stress_Pa[i]) < 1e-12);
        CHECK(rel_err(curve.plateau_stress_Pa(), row.traits.plateau_stress_Pa) < 1e-12);
    }
}

TEST_CASE("GradeCurves: random curves are never left between two grades") {
    // Curves to 30 % strain have no plateau stress, so strains are not aligned and neighbours
    // compare at equal strain. The stresses jump about, also below zero.
    test::Noise noise(3);
    for (int round = 0; round < 20; ++round) {
        GradeFamily family{.stress_Pa = [&](double e, double density, double, double) {
            return 1e5 * density * (1.0 + noise()) * std::min(e / 0.02, 1.0);
        }};
        family.last_strain = 0.3;
        family.rows = 31;
        const GradeTable table = test::family_table(family);
        const GradeCurves curves(table, octet);
        CHECK(curves.note().find("not aligned") != std::string::npos);
        for (std::size_t k = 0; k + 1 < table.rows.size(); ++k) {
            const double a = family.densities[k], b = family.densities[k + 1];
            const GradeCurve lower = curves.curve_at({a}), upper = curves.curve_at({b});
            for (const double share : {0.1, 0.5, 0.8}) {
                const GradeCurve between = curves.curve_at({a * std::pow(b / a, share)});
                for (double e = 0.0; e <= 0.3; e += 0.01) {
                    const double p = lower.stress_at(e), q = upper.stress_at(e);
                    const double rounding = 1e-12 * (std::abs(p) + std::abs(q));
                    CHECK(between.stress_at(e) >= std::min(p, q) - rounding);
                    CHECK(between.stress_at(e) <= std::max(p, q) + rounding);
                }
            }
        }
    }
}

TEST_CASE("GradeCurves: where denser is stiffer and locks earlier, stress rises with density") {
    test::Noise noise(5);
    for (int round = 0; round < 10; ++round) {
        std::vector<double> strength{1e4}, locking{0.66};
        for (int i = 0; i < 4; ++i) {
            // By more than the 12 % that e_k falls: at one u stress then rises.
            strength.push_back(strength.back() * (1.15 + std::abs(noise())));
            locking.push_back(locking.back() - 0.001 - 0.03 * std::min(std::abs(noise()), 2.0));
        }
        GradeFamily family;
        family.rows = 141;
        family.stress_Pa = [&](double e, double density, double, double) {
            const auto i = static_cast<std::size_t>(std::lround((density - 0.06) / 0.02));
            return strength[i] * (std::min(e / 0.1, 1.0) + std::pow(e / locking[i], 20.0));
        };
        const GradeCurves curves(test::family_table(family), octet);
        REQUIRE(curves.note().empty());
        std::vector<double> before;
        for (double density = 0.06; density <= 0.14; density += 0.001) {
            const GradeCurve curve = curves.curve_at({std::min(density, 0.14)});
            std::vector<double> now;
            for (double e = 0.01; e < 0.55; e += 0.03)
                now.push_back(curve.stress_at(std::min(e, curve.last_strain())));
            for (std::size_t i = 0; i < before.size(); ++i)
                CHECK(now[i] >= before[i] * (1.0 - 1e-12));
            before = now;
        }
    }
}

TEST_CASE("GradeCurves: energy is the integral of the interpolated stress") {
    GradeFamily family{.stress_Pa = [](double e, double density, double, double) {
        return 1e6 * density * std::tanh(e / 0.04) * (1.0 + std::pow(e / (0.9 - density), 8.0));
    }};
    const GradeCurves curves(test::family_table(family), octet);
    const GradePoint at{0.093};
    // Midpoint sums over 7,000 parts; between its points the curve is straight, so that only parts
    // that hold a point err: each by h^2/4 of the change of slope, together below h^2 of the slope.
    double sum = 0.0;
    const GradeCurve curve = curves.curve_at(at);
    const double h = 0.6 / 7000.0;
    for (int i = 0; i < 7000; ++i)
        sum += h * curve.stress_at(h * (i + 0.5));
    CHECK(rel_err(curves.energy(0.6, at).value, sum) < 1e-6);
}

TEST_CASE("GradeCurves: unloading of a family is met, and missing where a neighbour has none") {
    GradeFamily family{.stress_Pa = power_law};
    family.unload = true;
    GradeTable table = test::family_table(family);
    const GradeCurves curves(table, octet);
    const double e = 0.7 * 0.4;
    CHECK(rel_err(curves.unloading_stress(e, {0.09}).value,
                  0.5 * power_law(e, 0.09, 0.01, 20.0) / std::exp(-0.4)) <
          family_tolerance(1.1 * power_law(0.05, 0.06, 0.01, 0.0),
                           0.5 * power_law(e, 0.06, 0.01, 0)));
    CHECK(curves.unloading_stress(0.01, {0.09}).value == 0.0); // contact is lost at 0.07
    table.rows[2].curve.nominal_strain.resize(static_cast<std::size_t>(table.rows[2].curve.turn));
    table.rows[2].curve.nominal_stress_Pa.resize(table.rows[2].curve.nominal_strain.size());
    const GradeCurves holed(table, octet);
    CHECK(message_of([&] {
              (void)holed.unloading_stress(e, {0.09});
          }).find("not all grades around relative density 0.09 were unloaded") !=
          std::string::npos);
    CHECK(holed.curve_at({0.06, 0.01}).unloading_strain.size() == 5);
}

TEST_CASE("GradeCurves: nothing is extrapolated unless that is asked for, and then it says so") {
    GradeFamily family{.stress_Pa = power_law};
    family.rates_per_s = {0.01, 1.0};
    family.temperatures_C = {0.0, 40.0};
    const GradeCurves curves(test::family_table(family), octet);
    const auto message = [&](const GradePoint& at) {
        return message_of([&] { (void)curves.stress(0.3, at); });
    };
    CHECK(message({0.2, 0.1, 20.0}) ==
          "relative density 0.2 is outside 0.06 to 0.14 of the table (octet, 0.01 1/s, 0 C); it is "
          "extrapolated only when that is asked for");
    CHECK(message({0.1, 3.0, 20.0}).starts_with("strain rate 3 1/s is outside 0.01 to 1 of"));
    CHECK(message({0.1, 0.1, -5.0}).starts_with("temperature -5 C is outside 0 to 40 of the"));
    CHECK(message({0.1, 0.1}).starts_with("the table has temperature 0 to 40 C (octet): one must"));
    CHECK(message({0.1, std::nan(""), 20.0}).find("one must be given") != std::string::npos);
    CHECK(message_of([&] {
              (void)curves.stress(0.8, {0.1, 0.1, 20.0}, Extrapolation::Allow);
          }).starts_with("strain 0.8 is outside 0 to 0.7"));
    const GradeValue outside = curves.stress(0.3, {0.2, 3.0, -5.0}, Extrapolation::Allow);
    CHECK(outside.extrapolated == "temperature, strain rate, relative density");
    // The power law goes on over density; rate and temperature are held.
    CHECK(rel_err(outside.value, power_law(0.3, 0.2, 1.0, 0.0)) < 1e-5);
    CHECK(curves.stress(0.3, {0.1, 0.1, 20.0}, Extrapolation::Allow).extrapolated.empty());
    const GradeCurves without(test::family_table({.stress_Pa = power_law}), octet);
    CHECK(message_of([&] {
              (void)without.stress(0.3, {0.1, 0.01, 20.0});
          }).starts_with("temperature 20 C is asked for, but the table tells none"));
    CHECK(without.stress(0.3, {0.1}).value > 0.0);
}

TEST_CASE("GradeCurves: only trusted rows are used, and what is left out is listed") {
    GradeFamily family{.stress_Pa = power_law};
    GradeTable table = test::family_table(family);
    table.rows[2].status = "untrusted";
    table.rows[2].reason = "kinetic_share 0.2, limit 0.05";
    for (double& stress : table.rows[2].curve.nominal_stress_Pa)
        stress *= 3.0;
    table.rows.push_back(table.rows[0]);
    table.rows.push_back(table.rows[0]);
    table.rows.back().grade.direction = {1, 1, 0}; // another selection: not listed
    const GradeCurves curves(table, octet);
    REQUIRE(curves.left_out().size() == 2);
    CHECK(curves.left_out()[0] ==
          "octet, made-up elastomer, relative density 0.1, 0 m/s: untrusted: "
          "kinetic_share 0.2, limit 0.05");
    CHECK(curves.left_out()[1].find("stands before it") != std::string::npos);
    CHECK(rel_err(curves.stress(0.3, {0.1}).value, power_law(0.3, 0.1, 0.01, std::nan(""))) < 1e-5);
    CHECK(message_of([&] { (void)GradeCurves(table, {.cell = "kelvin"}); }) ==
          "no trusted curve of cell 'kelvin', polymer '', compression along [001]; the table has: "
          "octet in made-up elastomer, compression along [001]; octet in made-up elastomer, "
          "compression along [110]");
    CHECK(message_of([&] {
              (void)GradeCurves(table, {.cell = "octet", .load = CaseLoad::Shear});
          }).starts_with("curves of sheared cases are not interpolated"));
}

TEST_CASE("GradeCurves: shares of uncertainty go straight from grade to grade") {
    GradeFamily family{.stress_Pa = power_law};
    GradeTable table = test::family_table(family);
    const auto fields = trait_fields();
    for (std::size_t i = 0; i < 4; ++i) {
        GradeRow& row = table.rows[i];
        row.uncertainty.resize(fields.size());
        for (std::size_t t = 0; t < fields.size(); ++t)
            row.uncertainty[t].parts[1] =
                0.01 * static_cast<double>(i + 1) * row.traits.*fields[t].member;
    }
    const GradeCurves curves(table, octet);
    const double middle = std::sqrt(0.08 * 0.1); // half way on the logarithm: 2.5 %
    const GradeValue stress = curves.stress(0.3, {middle});
    CHECK(rel_err(stress.uncertainty, 0.025 * stress.value) < 1e-12);
    const GradeValue energy = curves.energy(0.3, {middle});
    CHECK(rel_err(energy.uncertainty, 0.025 * energy.value) < 1e-12);
    CHECK(std::isnan(curves.stress(0.3, {0.13}).uncertainty)); // the densest grade has none
    CHECK(rel_err(curves.stress(0.3, {0.12}).uncertainty, 0.04 * curves.stress(0.3, {0.12}).value) <
          1e-12);
}
