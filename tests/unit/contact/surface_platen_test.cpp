// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/penalty.hpp"
#include "solver/contact/platen_contact.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/surface_meshes.hpp"

#include <doctest/doctest.h>

namespace cellgrade {
namespace {

using test::element;

constexpr double mean_edge = element * 0.569035593728849; // (4 + 2 sqrt 2) / 12, of inner nodes

// A flat sheet of 4 x 4 elements one box along, so periodic, at a given height; its last column and
// row copy the first. Every node has six edges around it and the same area.
TetMesh endless_sheet(double z) {
    TetMesh mesh;
    mesh.box = Vec3(4 * element, 4 * element, element);
    mesh.periodic = {true, true, false};
    test::add_sheet(mesh, 4, 4,
                    [&](double u, double v) { return Vec3(4 * u * element, 4 * v * element, z); });
    for (Index j = 0; j < 9; ++j)
        for (Index i = 0; i < 9; ++i)
            if (i == 8 || j == 8)
                mesh.copies.push_back({.node = i + 9 * j,
                                       .original = i % 8 + 9 * (j % 8),
                                       .image = Vec3i(i / 8, j / 8, 0)});
    return mesh;
}

struct Pressed {
    Vec3 force = Vec3::Zero();
    PlaneReport plane;
    std::vector<NodeLoad> load;
};

Pressed press(const TetMesh& mesh, const ContactSettings& settings, double rise) {
    PlatenContact platens(mesh, std::vector<double>(mesh.nodes.size(), 1.0), {lower_platen(mesh)},
                          settings);
    Pressed out;
    out.load.resize(mesh.nodes.size());
    const std::vector<PlaneMotion> motion{{.position = rise}};
    platens.add_loads(test::pose_of(mesh.nodes), std::vector<NodeRate>(mesh.nodes.size()), motion,
                      0.0, out.load);
    out.plane = platens.report()[0];
    for (const NodeLoad& load : out.load)
        out.force += test::force(load);
    return out;
}

TEST_CASE("platen contact: a flat surface presses like a film over its whole area") {
    // p = M depth / layer / (1 - u^2), u = depth / layer: film_stiffness() and penalty.hpp, with
    // the areas of the nodes adding up to that of the sheet. Periodic copies take no part.
    const ContactSettings settings = test::wall_settings(0.0);
    const TetMesh mesh = endless_sheet(0.0);
    const double layer = settings.layer_share * mean_edge, depth = 0.4 * layer;
    const Pressed pressed = press(mesh, settings, depth);
    const double nu = settings.poisson;
    const double M = settings.modulus * (1 - nu) / ((1 + nu) * (1 - 2 * nu));
    const double area = 16 * element * element;
    CHECK(test::rel_err(pressed.force.z(), M * area * 0.4 / (1 - 0.16)) < 1e-9);
    CHECK(test::rel_err(-pressed.plane.force.z(), pressed.force.z()) < 1e-14);
    CHECK(pressed.plane.n_touching == 64);
    for (const NodeCopy& copy : mesh.copies)
        CHECK(test::force(pressed.load[copy.node]).norm() == 0.0);
    // Depths are told in element edges: two edges of the triangles.
    CHECK(test::rel_err(pressed.plane.deepest_share, depth / (2 * mean_edge)) < 1e-9);
}

TEST_CASE("platen contact: a surface touches within its layer, or at its distance at the start") {
    const ContactSettings settings = test::wall_settings(0.0);
    const double layer = settings.layer_share * mean_edge;
    const TetMesh above = endless_sheet(3.0 * layer), within = endless_sheet(0.5 * layer);
    CHECK(press(above, settings, 1.999 * layer).plane.n_touching == 0);
    CHECK(press(above, settings, 2.001 * layer).plane.n_touching == 64);
    CHECK(press(within, settings, 0.0).plane.n_touching == 0);
    CHECK(press(within, settings, 0.001 * layer).plane.n_touching == 64);
}

TEST_CASE("platen contact: nodes inside a solid never touch and need no mass") {
    TetMesh mesh = endless_sheet(0.0);
    mesh.nodes.push_back(Vec3(element, element, -element)); // on no face
    const ContactSettings settings = test::wall_settings(0.0);
    std::vector<double> mass(mesh.nodes.size(), 1.0);
    mass.back() = 0.0;
    PlatenContact platens(mesh, mass, {lower_platen(mesh)}, settings);
    std::vector<NodeLoad> load(mesh.nodes.size());
    platens.add_loads(test::pose_of(mesh.nodes), std::vector<NodeRate>(mesh.nodes.size()),
                      std::vector<PlaneMotion>{{.position = 1e-6}}, 0.0, load);
    CHECK(platens.report()[0].n_touching == 64);
    CHECK(test::force(load.back()).norm() == 0.0);
}

} // namespace
} // namespace cellgrade
