// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/density_scaling.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double E_s = 20e6;

/// A grade that follows E/E_s = 0.9 rb^2, plateau 0.04 rb^2, densification 1 - 1.5 rb^0.8.
GradeRow row(const char* cell, double rb) {
    GradeRow r;
    r.grade = {.key = std::string(cell) + std::to_string(rb),
               .cell = cell,
               .polymer = "medium",
               .relative_density = rb,
               .speed_m_per_s = unknown,
               .strain_rate_per_s = 0.01};
    r.status = "trusted";
    r.polymer_modulus_Pa = E_s;
    r.traits.quasi_elastic_gradient_Pa = 0.9 * rb * rb * E_s;
    r.traits.collapse_stress_Pa = unknown;
    r.traits.plateau_stress_Pa = 0.04 * rb * rb * E_s;
    r.traits.densification_strain = 1.0 - 1.5 * std::pow(rb, 0.8);
    return r;
}

std::optional<bool> bends(const std::string&) {
    return false;
}

const ScalingRow*
find(const DensityScaling& scaling, const std::string& cell, const std::string& t) {
    const auto at =
        std::find_if(scaling.rows.begin(), scaling.rows.end(),
                     [&](const ScalingRow& r) { return r.cell == cell && r.trait == t; });
    return at == scaling.rows.end() ? nullptr : &*at;
}

bool noted(const DensityScaling& scaling, const char* part) {
    return std::any_of(scaling.notes.begin(), scaling.notes.end(), [&](const std::string& note) {
        return note.find(part) != std::string::npos;
    });
}

} // namespace

TEST_CASE("density scaling: made-up powers come back, with theory beside them") {
    GradeTable table;
    for (const double rb : {0.05, 0.1, 0.2})
        table.rows.push_back(row("kelvin", rb));
    const DensityScaling scaling = density_scaling(table, bends);
    REQUIRE(scaling.rows.size() == 3);
    const ScalingRow* E = find(scaling, "kelvin", "quasi_elastic_gradient_Pa");
    REQUIRE(E != nullptr);
    CHECK(rel_err(E->coefficient, 0.9) < 1e-9);
    CHECK(rel_err(E->exponent, 2.0) < 1e-9);
    CHECK(E->grades == 3);
    CHECK(E->density_from == 0.05);
    CHECK(E->density_to == 0.2);
    CHECK(E->exponent_high - E->exponent_low < 1e-9);
    CHECK(E->theory_coefficient == 1.0); // Gibson & Ashby 1997, references F1 to F3
    CHECK(E->theory_exponent == 2.0);
    CHECK(find(scaling, "kelvin", "plateau_stress_Pa")->theory_coefficient == 0.05);
    const ScalingRow* d = find(scaling, "kelvin", "densification_strain");
    CHECK(rel_err(d->coefficient, 1.5) < 1e-9);
    CHECK(rel_err(d->exponent, 0.8) < 1e-9);
    CHECK(d->theory_coefficient == 1.4);
    CHECK(d->worst_share < 1e-9);
    CHECK(noted(scaling, "collapse_stress_Pa: not known of 3 of 3 grades"));
}

TEST_CASE("density scaling: cells that stretch have theory for stiffness alone") {
    GradeTable table;
    for (const double rb : {0.05, 0.1, 0.2})
        table.rows.push_back(row("octet", rb));
    const DensityScaling scaling =
        density_scaling(table, [](const std::string&) { return std::optional(true); });
    CHECK(find(scaling, "octet", "quasi_elastic_gradient_Pa")->theory_exponent == 1.0);
    CHECK(find(scaling, "octet", "plateau_stress_Pa")->theory.empty());
    CHECK(find(scaling, "octet", "densification_strain")->theory_coefficient == 1.4);
}

TEST_CASE("density scaling: two grades have no interval, one no law; what is left out is told") {
    GradeTable table;
    for (const double rb : {0.05, 0.1, 0.2})
        table.rows.push_back(row("kelvin", rb));
    table.rows.push_back(row("lonely", 0.1));
    table.rows[0].polymer_modulus_Pa = unknown;
    table.rows.push_back(row("kelvin", 0.3));
    table.rows.back().status = "untrusted";
    table.rows.push_back(row("kelvin", 0.4));
    table.rows.back().grade.load = CaseLoad::Shear;
    const DensityScaling scaling = density_scaling(table, bends);
    const ScalingRow* E = find(scaling, "kelvin", "quasi_elastic_gradient_Pa");
    REQUIRE(E != nullptr);
    CHECK(E->grades == 2);
    CHECK(rel_err(E->exponent, 2.0) < 1e-9);
    CHECK(std::isnan(E->exponent_low));
    CHECK(find(scaling, "kelvin", "densification_strain")->grades == 3);
    CHECK(noted(scaling, "1 of 3 grades have no modulus of their polymer"));
    CHECK(noted(scaling, "two grades give a power law without an interval"));
    CHECK(noted(scaling, "lonely [001], 0.01 1/s: one grade gives no power law"));
}

TEST_CASE("density scaling: rates, directions and impacts are fits of their own") {
    GradeTable table;
    for (const double rb : {0.05, 0.1, 0.2})
        for (const int kind : {0, 1, 2}) {
            table.rows.push_back(row("kelvin", rb));
            GradeCase& g = table.rows.back().grade;
            if (kind == 1)
                g.direction = {1, 1, 0};
            if (kind == 2)
                g.speed_m_per_s = 5.0, g.strain_rate_per_s = 250.0;
        }
    const DensityScaling scaling = density_scaling(table, bends);
    CHECK(scaling.rows.size() == 9);
    const auto impact = std::find_if(scaling.rows.begin(), scaling.rows.end(),
                                     [](const ScalingRow& r) { return r.strain_rate_per_s > 1.0; });
    REQUIRE(impact != scaling.rows.end());
    CHECK(impact->theory.empty());
}

// Source     references F7: octet 12, body-centred 8, Kelvin 4, diamond 4, simple cubic 6
TEST_CASE("density scaling: struts at a joint tell cells that stretch") {
    CHECK(carries_by_stretching(find_cell("octet")));
    for (const char* name : {"body_centred", "kelvin", "diamond", "simple_cubic"})
        CHECK_FALSE(carries_by_stretching(find_cell(name)));
}
