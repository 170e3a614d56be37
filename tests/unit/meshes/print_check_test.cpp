// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/print_check.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/solids/throat.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;

namespace {

constexpr std::array<bool, 3> endless = {true, true, true};

/// One ball a cell of 1 mm, solid or void.
LevelSetCell balls(const char* side) {
    return parse_level_set_cell(std::string(R"toml(
kind = "level_set"
size_mm = [1, 1, 1]
expression = "sqrt((x-pi)^2 + (y-pi)^2 + (z-pi)^2)/(2*pi)"
side = ")toml") + side + "\"\n",
                                "balls");
}

ImplicitSolid ball_solid(const char* side, double radius, std::array<bool, 3> periodic) {
    const LevelSetCell cell = balls(side);
    const double sign = side == std::string("below") ? 1.0 : -1.0;
    return {.field =
                [cell, sign, radius](std::span<const Vec3> x, std::span<double> f) {
                    std::vector<Vec3> u;
                    for (const Vec3& p : x)
                        u.emplace_back((1e3 * p).array() - (1e3 * p).array().floor());
                    cell.function(u, f);
                    for (double& v : f)
                        v = sign * (v - radius);
                },
            .box = Vec3(2e-3, 3e-3, 1e-3),
            .periodic = periodic,
            .narrowest = 0.2e-3};
}

} // namespace

TEST_CASE("print check: honeycomb walls and channels have their exact widths") {
    // Wall 2 t a, inscribed circle of a channel a - 2 t a; planes, so that nothing is lost.
    const TiledSolid made = tiled_solid(find_level_set_cell("honeycomb_z"),
                                        {.periodic = endless, .amount = 0.3 / 5.196152422706632});
    for (const double spacing : {0.15e-3, 0.1e-3}) {
        const PrintCheck found = check_print(made.solid, {}, spacing);
        REQUIRE(found.narrowest);
        REQUIRE(found.opening);
        CHECK(test::rel_err(found.narrowest->width, 0.6e-3) < 0.01);
        CHECK(test::rel_err(found.opening->width, 4.596152e-3) < 0.01);
        CHECK(found.n_closed_pores == 0);
        CHECK(found.n_loose_pieces == 0);
    }
}

TEST_CASE("print check: struts of a cubic frame are as thick as made, windows as wide as left") {
    // Strut D; a ball passes the window of four struts when it is below a - D.
    const StrutCell cell = find_cell("simple_cubic"); // a = 5 mm
    for (const auto& [tiles, periodic] :
         {std::pair(std::array<Index, 3>{1, 1, 1}, endless),
          std::pair(std::array<Index, 3>{2, 1, 1}, std::array<bool, 3>{false, true, true})}) {
        const TiledSolid made =
            tiled_solid(cell, {.tiles = tiles, .periodic = periodic, .amount = 1e-3});
        const PrintCheck found = check_print(made.solid, {}, 0.2e-3);
        REQUIRE(found.narrowest);
        REQUIRE(found.opening);
        // spacing^2 / width = 4 % for the strut, 1 % for the window
        CHECK(test::rel_err(found.narrowest->width, 1e-3) < 0.04);
        CHECK(test::rel_err(found.opening->width, 4e-3) < 0.01);
    }
}

TEST_CASE("print check: octet struts are not called thin in their crotches") {
    const TiledSolid made = tiled_solid(
        find_cell("octet"), {.periodic = endless, .amount = 0.8e-3, .fillet_radius = 0.15e-3});
    const PrintCheck found = check_print(made.solid, {.least_solid = 0.7e-3}, 0.14e-3);
    REQUIRE(found.narrowest);
    CHECK(test::rel_err(found.narrowest->width, 0.8e-3) < 0.04);
    CHECK(print_faults(found, {.least_solid = 0.7e-3, .least_opening = 0.3e-3}).empty());
    const PrintCheck coarse = check_print(made.solid, {}, 0.3e-3);
    const auto unclear = print_faults(coarse, {.least_solid = 0.3e-3});
    REQUIRE(unclear.size() == 1);
    CHECK(unclear[0].starts_with("the grid of 0.29"));
    const auto faults = print_faults(found, {.least_solid = 0.9e-3, .least_opening = 2e-3});
    REQUIRE(faults.size() == 2);
    CHECK(faults[0].starts_with("the solid is 0.8"));
    CHECK(faults[1].starts_with("the void is "));
}

TEST_CASE("print check: closed pores and loose balls are counted with their share") {
    const double ball = 4.0 / 3.0 * std::numbers::pi * 0.027; // radius 0.3 of the cell
    for (const auto& periodic : {endless, std::array<bool, 3>{false, false, false}}) {
        const PrintCheck pores = check_print(ball_solid("above", 0.3, periodic), {}, 0.04e-3);
        CHECK(pores.n_closed_pores == 6);
        CHECK(pores.closed_share == 1.0);
        CHECK(pores.n_loose_pieces == 0);
        CHECK(test::rel_err(1.0 - pores.solid_share, ball) < 0.02);
        CHECK_FALSE(pores.opening);
        const PrintCheck loose = check_print(ball_solid("below", 0.3, periodic), {}, 0.04e-3);
        CHECK(loose.n_loose_pieces == 5);
        CHECK(test::rel_err(loose.loose_share, 5.0 / 6.0) < 1e-3);
        CHECK(loose.n_closed_pores == 0);
        CHECK(print_faults(loose, {}).size() == 1);
    }
    // grown past the faces of their cells, the pores join: a window of a known circle
    const PrintCheck open = check_print(ball_solid("above", 0.6, endless), {}, 0.04e-3);
    CHECK(open.n_closed_pores == 0);
    REQUIRE(open.opening);
    // the ball touches the rim of the window: circle of radius sqrt(0.6^2 - 0.5^2)
    CHECK(test::rel_err(open.opening->width, 2e-3 * std::sqrt(0.11)) < 0.1); // 1.8 spacings low
}

TEST_CASE("surface distance: a ball's distances, across periodic faces too") {
    const SurfaceDistance grid = surface_distance(ball_solid("below", 0.3, endless), 0.05e-3);
    double worst_near = 0.0;
    double worst_far = 0.0;
    for (std::size_t b = 0; b < grid.is_solid.size(); ++b) {
        Vec3 x = 1e3 * grid.middle(b);
        x = x.array() - x.array().floor() - 0.5;
        const double exact = std::abs(x.norm() - 0.3);
        const double got = 1e3 * grid.to_surface[b].cast<double>().norm();
        double& worst = exact > 0.1 ? worst_far : worst_near;
        worst = std::max(worst, std::abs(got - exact));
    }
    CHECK(worst_near < 0.5 * 0.05); // half a spacing
    // from two spacings on: h^2 / (4 d) = h / 8, linear interpolation h^2 / (8 R) = h / 48, and a
    // tenth more where no neighbour passed on the nearest point
    CHECK(worst_far < 0.16 * 0.05);
}

TEST_CASE("print check: refuses grids that are too fine") {
    CHECK_THROWS_AS((void)check_print(ball_solid("below", 0.3, endless), {}, 1e-6), Error);
    CHECK_THROWS_AS((void)check_print(ball_solid("below", 0.3, endless), {.least_solid = -1.0}),
                    Error);
}
