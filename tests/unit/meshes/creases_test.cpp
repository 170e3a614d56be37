// SPDX-License-Identifier: Apache-2.0
#include "meshes/quality/tet_quality.hpp"
#include "meshes/tets/creases.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "meshes/tets/pinches.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/meshes/sample_solids.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double radius = 0.2;

/// Two endless round rods along x and y that cross at right angles in a box of size 1.
ImplicitSolid crossed_rods(bool with_pieces) {
    const auto across_x = [](const Vec3& p) { return Vec3(0.0, p.y() - 0.5, p.z() - 0.5); };
    const auto across_y = [](const Vec3& p) { return Vec3(p.x() - 0.5, 0.0, p.z() - 0.5); };
    ImplicitSolid solid = test::solid_of(
        Vec3::Ones(),
        [=](const Vec3& p) { return std::min(across_x(p).norm(), across_y(p).norm()) - radius; },
        {true, true, false});
    if (with_pieces)
        solid.pieces = [=](const Vec3& p, double within, std::vector<FieldPiece>& near) {
            const Vec3 u = across_x(p), v = across_y(p);
            near = {{u.norm() - radius, u.normalized(), 0}, {v.norm() - radius, v.normalized(), 1}};
            if (near[1].value < near[0].value)
                std::swap(near[0], near[1]);
            if (near[1].value > near[0].value + within)
                near.pop_back();
        };
    return solid;
}

/// 2 pi r^2 L less the common part of two cylinders, 16/3 r^3.
/// Source: Steinmetz solid, in any table of integrals (from memory).
const double rods_volume =
    2.0 * std::numbers::pi * radius * radius - 16.0 / 3.0 * std::pow(radius, 3);

} // namespace

// Exact      the rods meet where |x| = |y| and y^2 + z^2 = r^2 about the middle
TEST_CASE("onto_crease: finds where two pieces vanish together") {
    const ImplicitSolid solid = crossed_rods(true);
    const auto at = onto_crease(solid, Vec3(0.66, 0.65, 0.63), 0U, 2, 0.1);
    REQUIRE(at.has_value());
    const Vec3 d = *at - Vec3::Constant(0.5);
    CHECK(rel_err(d.x(), d.y()) < 1e-9);
    CHECK(rel_err(std::hypot(d.y(), d.z()), radius) < 1e-9);
    CHECK(!onto_crease(solid, Vec3(0.9, 0.6, 0.6), 0U, 2, 0.1).has_value());
    CHECK(!onto_crease(crossed_rods(false), Vec3(0.66, 0.65, 0.63), 0U, 2, 0.1).has_value());
}

// Tolerance  two cubes across a rod: a crease of length about 6 r bridged by faces as wide as a
//            cube r and up to r/4 deep holds about 6 r * r * r/4 / 2 = 0.75 r^3, 3 % of the volume
//            (order of size); nodes and middles on it leave the faces that the guard refuses
TEST_CASE("mesh_solid: crossed rods keep their crease") {
    const auto measured = [](bool with_pieces, double volume) {
        const ImplicitSolid solid = crossed_rods(with_pieces);
        const TetMesh mesh = mesh_solid(solid, {.element_size = radius, .volume = volume});
        CHECK(std::abs(mesh.surface_shift) < 0.02 * radius);
        return tet_quality(mesh, solid);
    };
    const double rounded = measured(false, 0.0).volume / rods_volume - 1.0;
    const double sharp = measured(true, 0.0).volume / rods_volume - 1.0;
    INFO("volume errors ", rounded, " and ", sharp);
    CHECK(std::abs(sharp) < 0.5 * std::abs(rounded));
    const TetQuality fitted = measured(true, rods_volume);
    CHECK(rel_err(fitted.volume, rods_volume) < 5e-4);
    CHECK(fitted.smallest_dihedral > least_dihedral);
    CHECK(fitted.smallest_curved_jacobian > 0.0);
    CHECK(fitted.n_open_edges == 0);
}

TEST_CASE("mesh_solid: fillets that the elements see are followed, smaller ones are creases") {
    const auto nodes = [](bool with_pieces, double rounding) {
        ImplicitSolid solid = crossed_rods(with_pieces);
        solid.rounding = rounding;
        return mesh_solid(solid, {.element_size = radius}).nodes;
    };
    CHECK(nodes(true, 0.6 * radius) == nodes(false, 0.0));
    CHECK(nodes(true, 0.4 * radius) == nodes(true, 0.0));
    CHECK(nodes(true, 0.0) != nodes(false, 0.0));
}

// Exact      a ball of 1 % more volume has a radius larger by 1.01^(1/3)
// Tolerance  the fit stops at 5e-4 of the volume, a twentieth of what it had to add
TEST_CASE("mesh_solid: the shift that a volume needs is that of the ball") {
    const double r = 0.37, volume = 4.0 / 3.0 * std::numbers::pi * r * r * r;
    const ImplicitSolid solid = test::ball(r);
    const TetMesh mesh = mesh_solid(solid, {.element_size = 0.1, .volume = 1.01 * volume});
    CHECK(rel_err(mesh.surface_shift, r * (std::cbrt(1.01) - 1.0)) < 0.06);
    CHECK(rel_err(tet_quality(mesh, solid).volume, 1.01 * volume) < 5e-4);
    const TetMesh twice = mesh_solid(solid, {.element_size = 0.1, .volume = 2.0 * volume});
    CHECK(rel_err(tet_quality(twice, solid).volume, volume) < 0.1); // too far: left as it was
    const ImplicitSolid full = test::solid_of(Vec3::Ones(), [](const Vec3&) { return -1.0; });
    CHECK(mesh_solid(full, {.element_size = 0.25, .volume = 0.9}).surface_shift == 0.0);
}

TEST_CASE("remove_pinches: of two tetrahedra that share an edge alone the smaller goes") {
    LinearTets mesh;
    mesh.nodes = {Vec3(0.5, 0.5, 0.2), Vec3(0.5, 0.5, 0.8), Vec3(0.9, 0.4, 0.5),
                  Vec3(0.9, 0.6, 0.5), Vec3(0.2, 0.6, 0.5), Vec3(0.2, 0.4, 0.5)};
    mesh.tets = {{0, 1, 2, 3}, {0, 1, 4, 5}};
    for (Corners& t : mesh.tets)
        if (six_volumes(mesh.nodes[t[0]], mesh.nodes[t[1]], mesh.nodes[t[2]], mesh.nodes[t[3]]) <
            0.0)
            std::swap(t[2], t[3]);
    mesh.nodes[2].x() = 1.0; // the first is larger
    mesh.on_surface.assign(6, true);
    mesh.held.assign(6, 0);
    CHECK(remove_pinches(mesh, test::ball(0.3), 0.1) == 1);
    REQUIRE(mesh.tets.size() == 1);
    CHECK(std::count(mesh.tets[0].begin(), mesh.tets[0].end(), 2) == 1);
    CHECK(remove_pinches(mesh, test::ball(0.3), 0.1) == 0);
}
