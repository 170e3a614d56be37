// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/tiled_solid.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/density/grid_measure.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "meshes/solids/strut_density.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

constexpr std::array<bool, 3> endless = {true, true, true};

/// Share of the slice z0 to z1 that is solid, Richardson on n and n / 2 boxes along each axis.
double measured(const ImplicitSolid& solid, int n, double z0, double z1) {
    const SampleGrid grid{.size = Vec3(solid.box.x(), solid.box.y(), z1 - z0),
                          .counts = Vec3i(n, n, n)};
    const std::vector<double> f = sample_field(
        [&](std::span<const Vec3> x, std::span<double> v) {
            std::vector<Vec3> moved(x.begin(), x.end());
            for (Vec3& p : moved)
                p.z() += z0;
            solid.field(moved, v);
        },
        grid, grid.size);
    SampleGrid coarse;
    const std::vector<double> kept = every_other_node(f, grid, coarse);
    return (4.0 * measure_below(f, grid, 0.0).volume - measure_below(kept, coarse, 0.0).volume) /
           3.0 / grid.size.prod();
}

} // namespace

TEST_CASE("strut solid: without fillet its measured volume is that of the union of rods") {
    // Two methods that share nothing: tetrahedra of a sampled field, free lines on cylinders.
    for (const char* name : {"simple_cubic", "octet", "kelvin", "isotropic_mix", "re_entrant"}) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        const TiledSolid made = tiled_solid(cell, {.periodic = endless, .densities = {0.15}});
        CHECK(test::rel_err(measured(made.solid, 96, 0.0, made.solid.box.z()), 0.15) < 2e-3);
        CHECK(test::rel_err(made.amounts[0], diameter_for_density(cell, 0.15)) < 1e-12);
    }
}

TEST_CASE("strut solid: a point costs the struts near it and has their exact distance") {
    const StrutCell cell = find_cell("simple_cubic"); // 5 mm
    const TiledSolid made = tiled_solid(cell, {.tiles = {3, 2, 2}, .amount = 1e-3});
    CHECK(test::rel_err(made.solid.value(Vec3(7e-3, 5.7e-3, 5e-3)), 0.2e-3) < 1e-9);
    CHECK(test::rel_err(made.solid.value(Vec3(7e-3, 5e-3, 5e-3)), -0.5e-3) < 1e-9);
    CHECK(made.solid.value(Vec3(7.5e-3, 7.5e-3, 7.5e-3)) > 0.0);
    CHECK((made.solid.box - Vec3(15e-3, 10e-3, 10e-3)).norm() < 1e-15);
    CHECK(made.solid.narrowest == 1e-3);
}

TEST_CASE("strut solid: perpendicular struts are joined by a circle of the radius asked for") {
    // In the plane of the axes the surface of the fillet is a circle of radius rho about
    // (r + rho, r + rho) from the joint; exact where struts are straight in that plane.
    const StrutCell cell = find_cell("simple_cubic");
    const double r = 0.5e-3, rho = 0.4e-3;
    const TiledSolid made =
        tiled_solid(cell, {.periodic = endless, .amount = 2.0 * r, .fillet_radius = rho});
    for (const double turn : {0.05, 0.4, 0.785398, 1.3}) {
        CAPTURE(turn);
        const Vec3 p = Vec3(r + rho, r + rho, 0) - rho * Vec3(std::cos(turn), std::sin(turn), 0);
        CHECK(std::abs(made.solid.value(p)) < 1e-9 * rho);
        CHECK(made.solid.value(1.02 * p) > 0.0);
        CHECK(made.solid.value(0.98 * p) < 0.0);
    }
}

TEST_CASE("strut solid: the field is continuous across axes, fillets and buckets") {
    for (const char* name : {"octet", "re_entrant"}) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        const TiledSolid made =
            tiled_solid(cell, {.periodic = endless, .amount = 0.7e-3, .fillet_radius = 0.3e-3});
        const Vec3 box = made.solid.box;
        double steepest = 0.0;
        for (int k = 0; k < 300; ++k) {
            const Vec3 u(std::fmod(0.618034 * k, 1.0), std::fmod(0.414214 * k, 1.0), 0.0);
            double before = made.solid.value(box.cwiseProduct(u));
            for (int i = 1; i <= 2000; ++i) {
                const Vec3 x = box.cwiseProduct(u + Vec3(0.0, 0.0, i / 2000.0));
                const double now = made.solid.value(x);
                steepest = std::max(steepest, std::abs(now - before) / (box.z() / 2000.0));
                before = now;
            }
        }
        // A jump of 1 % of the fillet radius within one step of 2.5 um would show as a slope of 1.2
        // on top of that of a distance, 1; fillets in acute corners come to 1.4 here.
        CHECK(steepest < 2.0);
    }
}

TEST_CASE("strut solid: same bits at coordinate 0 and at the far face") {
    const StrutCell cell = find_cell("kelvin");
    const TiledSolid made = tiled_solid(
        cell, {.tiles = {3, 2, 3}, .periodic = endless, .amount = 0.6e-3, .fillet_radius = 0.1e-3});
    const Vec3 box = made.solid.box;
    for (int k = 0; k < 200; ++k)
        for (int a = 0; a < 3; ++a) {
            Vec3 low =
                box.cwiseProduct(Vec3(std::fmod(0.618034 * k, 1.0), std::fmod(0.414214 * k, 1.0),
                                      std::fmod(0.732051 * k, 1.0)));
            low[a] = 0.0;
            Vec3 high = low;
            high[a] = box[a];
            CHECK(made.solid.value(low) == made.solid.value(high));
        }
}

TEST_CASE("strut solid: the diameter for a density counts the fillets") {
    for (const char* name : {"body_centred"}) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name);
        const TiledSolid made =
            tiled_solid(cell, {.periodic = endless, .densities = {0.15}, .fillet_radius = 0.15e-3});
        CHECK(made.amounts[0] < diameter_for_density(cell, 0.15));
        CHECK(test::rel_err(measured(made.solid, 112, 0.0, made.solid.box.z()), 0.15) < 2e-3);
    }
}

TEST_CASE("strut solid: graded layers have the densities asked for") {
    const StrutCell cell = find_cell("body_centred");
    const std::vector<double> want = {0.12, 0.18};
    const TiledSolid made = tiled_solid(cell, {.tiles = {1, 1, 2},
                                               .periodic = {true, true, false},
                                               .densities = want,
                                               .fillet_radius = 0.1e-3});
    for (std::size_t k = 0; k < 2; ++k) {
        CAPTURE(k);
        const double z = 5e-3 * static_cast<double>(k);
        CHECK(test::rel_err(measured(made.solid, 96, z, z + 5e-3), want[k]) < 3e-3);
        CHECK(test::rel_err(made.densities[k], want[k]) < 1e-3);
    }
}

TEST_CASE("strut solid: faults of a plan are one line") {
    const StrutCell cell = find_cell("octet");
    const auto message = [&](const SolidPlan& plan) {
        return test::message_of([&] { (void)tiled_solid(cell, plan); });
    };
    CHECK(message({}).find("sets no offset or diameter of its own") != std::string::npos);
    CHECK(message({.tiles = {0, 1, 1}, .amount = 1e-3}).find("0 cells along an axis") !=
          std::string::npos);
    CHECK(message({.densities = {0.1}, .amount = 1e-3}).find("only one is") != std::string::npos);
    CHECK(message({.tiles = {1, 1, 3}, .densities = {0.1, 0.2}}).find("give 1 or 3") !=
          std::string::npos);
    CHECK(
        message({.amount = 1e-3, .fillet_radius = 2e-3}).starts_with("fillet radius 2 mm is not"));
    CHECK(message({.densities = {0.999}}).find("cannot be reached") != std::string::npos);
}
