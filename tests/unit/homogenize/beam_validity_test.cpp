// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/beam_validity.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace cellgrade;
using test::rel_err;

TEST_CASE("beam validity: the map is sorted, whole, and gets worse as struts get stubbier") {
    const auto map = beam_differences();
    REQUIRE(map.size() >= 4);
    for (std::size_t i = 0; i < map.size(); ++i) {
        CHECK(std::isfinite(map[i].stiffness));
        CHECK(std::isfinite(map[i].plateau));
        if (i == 0 || map[i].cell != map[i - 1].cell)
            continue;
        CHECK(map[i].relative_density > map[i - 1].relative_density);
        CHECK(map[i].slenderness < map[i - 1].slenderness);
    }
}

// Exact      linear between two entries of one cell
TEST_CASE("beam validity: between two entries the doubt is their mean") {
    const BeamDifference &a = beam_differences()[0], &b = beam_differences()[1];
    REQUIRE(a.cell == b.cell);
    const auto doubt = beam_doubt(a.cell, 0.5 * (a.relative_density + b.relative_density), 1.0);
    REQUIRE(doubt.has_value());
    CHECK(doubt->same_cell);
    CHECK(rel_err(doubt->difference.plateau, 0.5 * (a.plateau + b.plateau)) < 1e-12);
    CHECK(doubt_text(*doubt).find("of this cell") != std::string::npos);
    CHECK(doubt->worst() >= std::abs(doubt->difference.stiffness));
}

TEST_CASE("beam validity: a cell that was not compared is told by the nearest slenderness") {
    const BeamDifference& b = beam_differences()[1];
    const auto doubt = beam_doubt("no_such_cell", 0.1, b.slenderness);
    REQUIRE(doubt.has_value());
    CHECK_FALSE(doubt->same_cell);
    CHECK(doubt->difference.slenderness == b.slenderness);
    CHECK(doubt_text(*doubt).find("not compared") != std::string::npos);
    CHECK_FALSE(beam_doubt("octet", 0.1, std::numeric_limits<double>::quiet_NaN()).has_value());
}
