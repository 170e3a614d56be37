// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/stretch_extent.hpp"

#include "materials/laws/uniaxial_table.hpp"
#include "tests/support/compare.hpp"

#include <Eigen/Geometry>
#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;
using test::rel_err;

TEST_SUITE_BEGIN("elements");

// Exact: a homogeneous F turned by R has the principal stretches that it was made of.
TEST_CASE("stretch extent: two tetrahedra, one turned and stretched by 0.7, 1 and 1.2") {
    TetMesh mesh;
    for (const double at : {0.0, 5.0}) {
        const auto first = static_cast<Index>(mesh.nodes.size());
        for (const Vec3& x : {Vec3(0, 0, 0), Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)})
            mesh.nodes.emplace_back(x + Vec3(at, 0, 0));
        for (const auto& [a, b] : {std::pair{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}})
            mesh.nodes.emplace_back(0.5 * (mesh.nodes[first + a] + mesh.nodes[first + b]));
        TetNodes nodes;
        for (int a = 0; a < 10; ++a)
            nodes[a] = first + a;
        mesh.tets.push_back(nodes);
    }
    const TetBlock block =
        make_tet_block(mesh, NeoHookean{.mu = 1.0, .kappa = 10.0, .void_fraction = 0.0}, {});
    const Mat3 F = Eigen::AngleAxisd(0.8, Vec3(1, 2, 3).normalized()).toRotationMatrix() *
                   Vec3(0.7, 1.2, 1.0).asDiagonal();
    std::vector<NodePoint> x;
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        const Vec3 at = n < 10 ? Vec3(F * mesh.nodes[n]) : mesh.nodes[n];
        x.push_back({at.x(), at.y(), at.z(), 0.0});
    }
    const StretchExtent wide = stretch_extent(block, x, {.min = 0.69, .max = 1.21});
    CHECK(rel_err(wide.least, 0.7) < 1e-12);
    CHECK(rel_err(wide.largest, 1.2) < 1e-12);
    CHECK(wide.share_outside == 0.0);
    CHECK(rel_err(stretch_extent(block, x, {.min = 0.71, .max = 1.3}).share_outside, 0.5) < 1e-12);
    CHECK(rel_err(stretch_extent(block, x, {.min = 0.6, .max = 1.1}).share_outside, 0.5) < 1e-12);
}

// Exact: by hand, a strut pulled to 1.1 and bent with curvature 1/(10 r) has fibres at 1.0 and 1.2.
TEST_CASE("stretch extent: a pulled and bent section") {
    constexpr double r = 0.5e-3, L = 5e-3;
    BeamMesh mesh;
    mesh.nodes = {Vec3(0, 0, 0), Vec3(L, 0, 0)};
    mesh.box = Vec3(L, L, L);
    mesh.elements = {BeamElement{.a = 0, .b = 1, .radius = r}};
    const AnyLaw law = NeoHookean{.mu = 1e6, .kappa = 50e6, .void_fraction = 0.0};
    const InitialModuli moduli = initial_moduli(law);
    FibreBlock block = make_fibre_block(mesh, section_moduli(moduli.E0, moduli.nu0),
                                        make_uniaxial_table(law), {}, DiscRule::Twelve);
    block.groups[0].Gamma[0][0] = 0.1;
    block.groups[0].kappa[1][0] = 0.06 / r;
    block.groups[0].kappa[2][0] = 0.08 / r;
    const StretchExtent extent = stretch_extent(block, {.min = 0.5, .max = 1.15});
    CHECK(rel_err(extent.least, 1.0) < 1e-12);
    CHECK(rel_err(extent.largest, 1.2) < 1e-12);
    CHECK(extent.share_outside == 1.0);
}

TEST_SUITE_END();
