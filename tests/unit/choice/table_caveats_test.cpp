// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/table_caveats.hpp"

#include "tests/unit/choice/choice_samples.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;
using test::SampleGrade;

namespace {

const GradeSelection all{.cell = "octet", .polymer = "made-up"};

SampleGrade one_grade() {
    return test::linear_grade(1e6);
}

} // namespace

TEST_CASE("table caveats: parts of the doubt that a table has not estimated") {
    SampleGrade sample = one_grade();
    CHECK(table_caveats(test::sample_table(sample), all).not_estimated == "all");
    sample.plateau_doubt_share = 0.1;
    CHECK(table_caveats(test::sample_table(sample), all).not_estimated ==
          "specimen, rate, friction, polymer, print");
}

TEST_CASE("table caveats: trusted curves outside the polymer's card are counted") {
    GradeTable table = test::sample_table(one_grade());
    CHECK(table_caveats(table, all).outside_card.empty());
    table.rows.push_back(table.rows.front());
    table.rows.push_back(table.rows.front());
    table.rows[1].outside_card = "nominal strain rate 100 1/s (card: up to 11 1/s)";
    table.rows[2].outside_card = "5 C (card: 10 to 40 C)";
    CHECK(table_caveats(table, all).outside_card ==
          "2 of 3 curves, the first: nominal strain rate 100 1/s (card: up to 11 1/s)");
    table.rows[1].status = "untrusted";
    CHECK(table_caveats(table, all).outside_card ==
          "1 of 2 curves, the first: 5 C (card: 10 to 40 C)");
    table.rows[2].grade.cell = "kelvin";
    CHECK(table_caveats(table, all).outside_card.empty());
}
