// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/doubt_parts.hpp"

#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace cellgrade;
using test::rel_err;

// Exact      0.15e-6 per degree between 16.40e-6 and 16.92e-6 (expansion of copper)
// Source     JCGM 100:2008 (GUM), example at 4.3.8 (from memory)
// Tolerance  half of the last printed digit
TEST_CASE("doubt: bounds give the standard uncertainty of the guide's example") {
    CHECK(std::abs(between_bounds(16.40e-6, 16.92e-6) - 0.15e-6) < 0.005e-6);
    CHECK(between_bounds(3.0, 1.0) == between_bounds(1.0, 3.0));
    CHECK(between_bounds(2.0, 2.0) == 0.0);
}

// Exact      32 nm from 25, 9.7, 2.9 and 16.6 nm (end gauge)
// Source     JCGM 100:2008 (GUM), H.1.4 (from memory)
TEST_CASE("doubt: parts in quadrature give the guide's end gauge") {
    CHECK(std::abs(in_quadrature(std::array{25.0, 9.7, 2.9, 16.6}) - 32.0) < 0.5);
    CHECK(in_quadrature({}) == 0.0);
}

// Exact      mean 100.145, s 1.489, s of the mean 0.333 of twenty temperatures
// Source     JCGM 100:2008 (GUM), 4.4.3 and table 1 (from memory; their mean and s come out)
// Tolerance  half of the last printed digit
TEST_CASE("doubt: readings give mean and deviations of the guide's temperatures") {
    const std::array t{96.90,  98.18,  98.25,  98.61,  99.03,  99.49,  99.56,
                       99.74,  99.89,  100.07, 100.33, 100.42, 100.68, 100.95,
                       101.11, 101.20, 101.57, 101.84, 102.36, 102.72};
    const Readings r = readings_of(t);
    CHECK(std::abs(r.mean - 100.145) < 5e-4);
    CHECK(std::abs(r.sd - 1.489) < 5e-4);
    CHECK(std::abs(r.sd_of_mean - 0.333) < 5e-4);
}

// Exact      by hand: readings 1, 2, 3 have s = 1; the mean lies 2 above 0
TEST_CASE("doubt: prints scatter around their mean, which is off the nominal value") {
    const std::array prints{1.0, 2.0, 3.0};
    CHECK(rel_err(scatter_of_prints(2.0, prints), 1.0) < 1e-14);
    CHECK(rel_err(scatter_of_prints(0.0, prints), std::sqrt(5.0)) < 1e-14);
}

// Exact      value = 4 + 0.3 speed: the bound is the true error of the nominal run
TEST_CASE("doubt: a run at half the speed gives the bound of a linear effect") {
    const double nominal = 4.0 + 0.3 * 2.0, half = 4.0 + 0.3 * 1.0;
    CHECK(rel_err(from_slower_run(nominal, half, 0.5), 0.6 / std::sqrt(3.0)) < 1e-12);
    CHECK(from_slower_run(nominal, nominal, 0.5) == 0.0);
}

// Exact      value = 4 + 0.6/n
TEST_CASE("doubt: larger or smaller specimens give the bound of edge layers") {
    const auto at = [](double n) { return SizeValue{n, 4.0 + 0.6 / n}; };
    const std::array sizes{at(2.0), at(4.0), at(6.0)};
    for (std::size_t i = 0; i < 3; ++i)
        CHECK(rel_err(from_larger_specimen(sizes, i), 0.6 / sizes[i].cells / std::sqrt(3.0)) <
              1e-12);
}

TEST_CASE("doubt: a trait settles at the smallest count from which all are near the largest") {
    const std::array sizes{SizeValue{4.0, 10.3}, SizeValue{1.0, 10.1}, SizeValue{2.0, 11.0},
                           SizeValue{8.0, 10.0}};
    CHECK(settled_cells(sizes, 0.5) == 4.0); // 1 is near by chance, 2 is not
    CHECK(settled_cells(sizes, 1.5) == 1.0);
    CHECK(std::isnan(settled_cells(sizes, 0.2)));
}

TEST_CASE("doubt: carried to another density it keeps its proportion and loses the limit") {
    TraitUncertainty u;
    u.parts[0] = 0.2;
    u.parts[3] = 0.0;
    u.extrapolated = 2.1;
    u.mesh_order = 1.4;
    const TraitUncertainty c = carried(u, 2.0, 5.0);
    CHECK(rel_err(c.parts[0], 0.5) < 1e-14);
    CHECK(c.parts[3] == 0.0);
    CHECK(std::isnan(c.parts[1]));
    CHECK(std::isnan(c.extrapolated));
    CHECK(c.mesh_order == 1.4);
    CHECK(carried(u, 0.0, 5.0).missing() == TraitUncertainty().missing());
}
