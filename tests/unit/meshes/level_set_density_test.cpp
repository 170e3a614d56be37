// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/level_set_density.hpp"

#include "meshes/catalogue/solid_catalogue.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>

using namespace cellgrade;

namespace {

struct Row {
    double offset, density;
};

/// Independent measure: points of a lattice rule counted inside, without any interpolation.
double counted_fraction(const LevelSetCell& cell, double offset, int n) {
    std::vector<Vec3> at;
    for (int k = 0; k < n; ++k) // powers of 1 / 1.2207440846, the root of x^4 = x + 1
        at.emplace_back(std::fmod(0.5 + 0.8191725133961645 * k, 1.0),
                        std::fmod(0.5 + 0.6710436067037893 * k, 1.0),
                        std::fmod(0.5 + 0.5497004779019703 * k, 1.0));
    std::vector<double> f(at.size());
    cell.function(at, f);
    shift_to_level(cell, f);
    int inside = 0;
    for (const double g : f)
        inside += cell.side == SolidSide::Wall ? std::abs(g) < offset : g < offset;
    return static_cast<double>(inside) / n;
}

} // namespace

TEST_CASE("level-set density: solid fractions and areas of gyroid, P and D follow the tables") {
    // Source: quadrature of the same functions outside this project, five digits (no publication
    // at hand). Tolerance two units of the last digit; areas per a^2 to 0.2 %.
    const std::map<std::string, std::vector<Row>> tables = {
        {"gyroid_skeletal",
         {{0.0, 0.5},
          {0.1, 0.53218},
          {0.2, 0.56442},
          {0.3, 0.59672},
          {0.4, 0.62916},
          {0.5, 0.66178},
          {0.6, 0.69463},
          {0.8, 0.76126},
          {1.0, 0.82972},
          {1.2, 0.90104},
          {1.4, 0.97755}}},
        {"schwarz_primitive_skeletal", {{0.2, 0.55708}, {0.5, 0.64283}, {1.0, 0.78666}}},
        {"schwarz_diamond_skeletal", {{0.2, 0.61596}, {0.5, 0.79269}}},
    };
    for (const auto& [name, rows] : tables) {
        LevelSetMeasure measure(find_level_set_cell(name));
        for (const auto& [offset, density] : rows) {
            CAPTURE(name);
            CAPTURE(offset);
            CHECK(std::abs(measure.fraction(offset).relative_density - density) < 2e-5);
        }
    }
    const std::map<std::string, std::vector<Row>> areas = {
        {"gyroid_skeletal", {{0.0, 3.0916}, {0.5, 2.9448}, {1.0, 2.3987}}},
        {"schwarz_primitive_skeletal", {{0.0, 2.3526}, {0.5, 2.2538}}},
        {"schwarz_diamond_skeletal", {{0.0, 3.8380}, {0.5, 3.1557}}},
    };
    for (const auto& [name, rows] : areas)
        for (const auto& [offset, area] : rows) {
            CAPTURE(name);
            CAPTURE(offset);
            const LevelSetFraction at = level_set_fraction(find_level_set_cell(name), offset);
            CHECK(test::rel_err(at.surface_area / 1e-4, area) < 2e-3);
        }
    const LevelSetFraction wall = level_set_fraction(find_level_set_cell("gyroid_wall"), 0.5);
    CHECK(std::abs(wall.relative_density - 0.32356) < 2e-5);
    CHECK(test::rel_err(wall.surface_area / 1e-4, 2.0 * 2.9448) < 2e-3);
}

TEST_CASE("level-set density: honeycombs have the density of Gibson and Ashby") {
    // Source: Gibson and Ashby 1997, eq. 4.1b (from memory): 2/sqrt(3) (t/l) (1 - t / (2 sqrt(3)
    // l)).
    for (const char* name : {"honeycomb_x", "honeycomb_y", "honeycomb_z"}) {
        CAPTURE(name);
        LevelSetMeasure measure(find_level_set_cell(name));
        for (const double ratio : {0.02, 0.1, 0.4}) { // wall thickness / edge
            const double exact =
                2.0 / std::sqrt(3.0) * ratio * (1.0 - ratio / (2.0 * std::sqrt(3.0)));
            const double offset = 0.5 * ratio / std::sqrt(3.0);
            CHECK(test::rel_err(measure.fraction(offset).relative_density, exact) < 2e-3);
        }
    }
    const LevelSetCell thick = find_level_set_cell("honeycomb_z_thick_junctions");
    CHECK(level_set_fraction(thick, 0.03).relative_density >
          1.1 * level_set_fraction(find_level_set_cell("honeycomb_z"), 0.03).relative_density);
}

TEST_CASE("level-set density: cells at 8 and 36 per cent agree with counted points") {
    // Tolerance: 0.2 % of the density plus 1e-4 for the count: points of low discrepancy miss a
    // smooth body by the order of n^(-2/3), here n = 1e6.
    for (const char* name :
         {"fischer_koch_s_skeletal", "honeycomb_z_thick_junctions", "i_wp_wall"}) {
        const LevelSetCell cell = find_level_set_cell(name);
        LevelSetMeasure measure(cell);
        for (const double rb : {0.08, 0.36}) {
            if (rb <= measure.reach().least_density || rb > measure.reach().most_density)
                continue;
            CAPTURE(name);
            CAPTURE(rb);
            const double offset = measure.offset_for_density(rb);
            CHECK(std::abs(counted_fraction(cell, offset, 1000000) - rb) < 2e-3 * rb + 1e-4);
            CHECK(measure.fraction(offset).error < 2e-3 * rb);
        }
    }
}

TEST_CASE("level-set density: the reach ends where the necks pinch off") {
    // P: the saddles of cos x + cos y + cos z lie at -1 and 1. Gyroid: at -sqrt(2) and sqrt(2).
    LevelSetMeasure primitive(find_level_set_cell("schwarz_primitive_skeletal"));
    CHECK(std::abs(primitive.reach().least_offset + 1.0) < 0.03);
    CHECK(std::abs(primitive.reach().most_offset - 1.0) < 0.03);
    CHECK(std::abs(primitive.reach().least_density - 0.2133) < 0.01); // 1 - 0.78666
    LevelSetMeasure gyroid(find_level_set_cell("gyroid_skeletal"));
    CHECK(std::abs(gyroid.reach().least_offset + std::sqrt(2.0)) < 0.03);
    CHECK(std::abs(gyroid.reach().most_offset - std::sqrt(2.0)) < 0.03);
    LevelSetMeasure wall(find_level_set_cell("schwarz_primitive_wall"));
    CHECK(wall.reach().least_density == 0.0);
    CHECK(std::abs(wall.reach().most_density - (2.0 * 0.78666 - 1.0)) < 0.01);
    const std::string text = test::message_of([&] { (void)primitive.offset_for_density(0.15); });
    CHECK(text.starts_with("relative density 0.15 of cell 'schwarz_primitive_skeletal' cannot be "
                           "reached; above 0.21"));
    CHECK(text.find('\n') == std::string::npos);
    CHECK_THROWS_AS((void)wall.offset_for_density(0.7), Error);
    CHECK_THROWS_AS((void)wall.offset_for_density(0.0), Error);
}

TEST_CASE("level-set density: separate balls are no lattice") {
    const LevelSetCell balls = parse_level_set_cell(R"toml(
kind = "level_set"
size_mm = [1, 1, 1]
expression = "sqrt(sin(x/2)^2 + sin(y/2)^2 + sin(z/2)^2)"
side = "below"
)toml",
                                                    "balls");
    // they join at 1, where neighbours meet in the middle of the edges
    LevelSetMeasure measure(balls);
    CHECK(std::abs(measure.reach().least_offset - 1.0) < 0.02);
    CHECK_THROWS_AS((void)measure.offset_for_density(0.1), Error);
}
