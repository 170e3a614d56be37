// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/law_input.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>

using namespace cellgrade;

namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

GradeRow row(double rate, CaseLoad load = CaseLoad::Compression) {
    GradeRow r;
    r.grade = {.key = "k",
               .cell = "octet",
               .polymer = "medium",
               .relative_density = 0.12,
               .speed_m_per_s = unknown,
               .strain_rate_per_s = rate,
               .load = load};
    r.status = "trusted";
    r.density_kg_per_m3 = 138.0;
    r.traits.densification_strain = 0.55;
    for (int i = 0; i <= 60; ++i) {
        r.curve.nominal_strain.push_back(0.01 * i);
        r.curve.nominal_stress_Pa.push_back(1e4 * std::tanh(i / 5.0));
    }
    r.curve.turn = 61;
    return r;
}

std::string complaint(const GradeTable& table, const GradeChoice& choice) {
    try {
        static_cast<void>(chosen_row(table, choice));
    } catch (const Error& e) {
        return e.what();
    }
    return "";
}

} // namespace

TEST_CASE("law input: takes the slowest compression, its shear, and the other rates to compare") {
    GradeTable table;
    table.rows = {row(1.0), row(0.01), row(0.01, CaseLoad::Shear), row(1.0, CaseLoad::Shear)};
    table.rows.push_back(row(250.0));
    table.rows.back().grade.speed_m_per_s = 5.0; // an impact
    table.rows.push_back(row(0.001));
    table.rows.back().status = "untrusted";
    const PolymerCard polymer = find_card("medium");
    const GradeLawInput input =
        law_input(table, {.cell = "octet", .relative_density = 0.12}, polymer);
    CHECK(input.compression.strain_rate_per_s == 0.01);
    CHECK(input.compression.to_strain == 0.55);
    CHECK(input.shear.size() == 1);
    REQUIRE(input.compared.size() == 1);
    CHECK(input.compared[0].strain_rate_per_s == 1.0);
    CHECK(test::rel_err(input.relative_density, 138.0 / 1150.0) < 1e-12);
    REQUIRE(input.prony.size() == polymer.prony.size());
    CHECK(input.prony.back().time_s == polymer.prony.back().time_s);
    const GradeRow& fast =
        chosen_row(table, {.cell = "octet", .relative_density = 0.12, .strain_rate_per_s = 1.0});
    CHECK(fast.grade.strain_rate_per_s == 1.0);
}

TEST_CASE("law input: a grade that is not there is refused with what is") {
    GradeTable table;
    table.rows = {row(0.01)};
    CHECK(complaint(table, {.cell = "kelvin", .relative_density = 0.12}) ==
          "no row of cell 'kelvin'; the table has octet");
    CHECK(complaint(table, {.cell = "octet", .relative_density = 0.2}) ==
          "octet has no row of relative density 0.2; it has 0.12");
    CHECK(complaint(table, {.cell = "octet", .relative_density = 0.12, .direction = "[110]"}) ==
          "no row along [110]; the grade has [001]");
    CHECK(complaint(table, {.cell = "octet", .relative_density = 0.12, .strain_rate_per_s = 2.0}) ==
          "no compression at 2 1/s; the grade has 0.01 1/s");
    table.rows[0].status = "failed";
    CHECK(complaint(table, {.cell = "octet", .relative_density = 0.12}).find("no trusted") !=
          std::string::npos);
    table.rows = {row(0.01), row(0.01)};
    table.rows[0].grade.temperature_C = 5.0;
    table.rows[1].grade.temperature_C = 23.0;
    CHECK(complaint(table, {.cell = "octet", .relative_density = 0.12}).find("choose one") !=
          std::string::npos);
}
