// SPDX-License-Identifier: Apache-2.0
#include "solver/core/error.hpp"
#include "solver/elements/beam_stable_step.hpp"
#include "solver/modes/buckling.hpp"
#include "solver/modes/natural_frequencies.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;
using test::rel_err;

namespace {

const SectionModuli moduli = section_moduli(50e6, 0.45);
constexpr double density = 1200.0;

void add_strut(BeamMesh& mesh, Index a, Index b, int parts, double radius) {
    const Vec3 from = mesh.nodes[a], to = mesh.nodes[b];
    Index here = a;
    for (int k = 1; k <= parts; ++k) {
        Index next = b;
        if (k < parts) {
            next = static_cast<Index>(mesh.nodes.size());
            mesh.nodes.emplace_back(from + (to - from) * k / parts);
        }
        mesh.elements.push_back({.a = here, .b = next, .radius = radius});
        here = next;
    }
}

/// Body-centred cells in a block: 2 x 2 x 2 cells of 10 mm.
BeamMesh block(int parts) {
    constexpr double a = 10e-3;
    BeamMesh mesh;
    mesh.box = Vec3::Constant(2.0 * a);
    for (int i = 0; i < 27; ++i)
        mesh.nodes.emplace_back(a * (i / 9), a * (i / 3 % 3), a * (i % 3));
    for (int i = 0; i < 8; ++i)
        mesh.nodes.emplace_back(a * (i / 4 + 0.5), a * (i / 2 % 2 + 0.5), a * (i % 2 + 0.5));
    for (Index centre = 27; centre < 35; ++centre)
        for (Index corner = 0; corner < 27; ++corner)
            if ((mesh.nodes[corner] - mesh.nodes[centre]).norm() < 0.9 * a)
                add_strut(mesh, centre, corner, parts, 0.5e-3);
    for (Index i = 0; i < 27; ++i) {
        if (i % 3 == 0)
            mesh.bottom.push_back(i);
        if (i % 3 == 2)
            mesh.top.push_back(i);
    }
    return mesh;
}

} // namespace

TEST_CASE("natural frequencies: a floating block has six motions without strain") {
    const NaturalModes modes = natural_frequencies(block(2), moduli, density, {}, 12);
    for (int i = 0; i < 6; ++i)
        CHECK(modes.omega[i] == 0.0);
    CHECK(modes.omega[6] > 0.0);
    for (const std::vector<Vec3>& shape : modes.shape) {
        double largest = 0.0;
        for (const Vec3& d : shape)
            largest = std::max(largest, d.norm());
        CHECK(rel_err(largest, 1.0) < 1e-12);
    }
}

TEST_CASE("natural frequencies: both of a pair of equal ones are found") {
    // a block on its lower face sways alike along x and y
    const BeamMesh mesh = block(2);
    const NaturalModes modes =
        natural_frequencies(mesh, moduli, density, bonded_supports(mesh, Bonded::Bottom), 3);
    CHECK(rel_err(modes.omega[1], modes.omega[0]) < 1e-8);
    CHECK(modes.omega[2] > 1.001 * modes.omega[1]);
}

TEST_CASE("natural frequencies: finer elements lower them, and they settle") {
    const auto first = [](int parts) {
        const BeamMesh mesh = block(parts);
        return natural_frequencies(mesh, moduli, density, bonded_supports(mesh, Bonded::BothFaces),
                                   1)
            .omega[0];
    };
    const double one = first(1), two = first(2), four = first(4);
    CHECK(two < one);
    CHECK(four < two);
    CHECK((two - four) < 0.3 * (one - two));
}

TEST_CASE("buckling: a block between platens buckles at the load of its strain") {
    const BeamMesh mesh = block(4);
    const std::vector<BucklingMode> modes = buckling(mesh, moduli, 4);
    REQUIRE(modes.size() == 4);
    for (std::size_t i = 0; i < modes.size(); ++i) {
        CHECK(modes[i].critical_strain > 0.0);
        CHECK(rel_err(modes[i].critical_force / modes[i].critical_strain,
                      modes[0].critical_force / modes[0].critical_strain) < 1e-9);
        if (i > 0)
            CHECK(modes[i].critical_strain >= modes[i - 1].critical_strain * (1.0 - 1e-9));
        for (const Index node : mesh.top)
            CHECK(modes[i].shape[node].norm() == 0.0);
    }
}

TEST_CASE("buckling: the critical strain does not change with the modulus, the force does") {
    const BeamMesh mesh = block(2);
    const BucklingMode soft = buckling(mesh, moduli, 1)[0];
    const BucklingMode hard = buckling(mesh, section_moduli(100e6, 0.45), 1)[0];
    CHECK(rel_err(hard.critical_strain, soft.critical_strain) < 1e-9);
    CHECK(rel_err(hard.critical_force, 2.0 * soft.critical_force) < 1e-9);
}

TEST_CASE("modes: bad requests are refused") {
    const BeamMesh mesh = block(1);
    CHECK_THROWS_AS(static_cast<void>(natural_frequencies(mesh, moduli, 0.0, {}, 3)), Error);
    CHECK_THROWS_AS(static_cast<void>(natural_frequencies(mesh, moduli, density, {}, 0)), Error);
    CHECK_THROWS_AS(static_cast<void>(natural_frequencies(mesh, moduli, density, {}, 100)), Error);
    const std::vector<NodeSupport> off = {{.node = 99, .held = {true}}};
    CHECK_THROWS_AS(static_cast<void>(natural_frequencies(mesh, moduli, density, off, 3)), Error);
    CHECK_THROWS_AS(
        static_cast<void>(buckling(mesh, moduli, bonded_supports(mesh, Bonded::Bottom), 1)), Error);
}

TEST_CASE("largest frequency: below the element bound of the explicit step, and near it") {
    const BeamMesh mesh = block(4);
    const BeamBlock beams = make_beam_block(mesh, moduli);
    for (const RotaryRule rule : {RotaryRule::True, RotaryRule::RaisedToAxial}) {
        const LumpedMass mass = lumped_mass(mesh, beams, density, rule);
        const double omega = largest_frequency(mesh, moduli, mass);
        const double bound = beam_stable_omega(beams, mass);
        INFO("omega ", omega, " bound ", bound);
        CHECK(omega <= bound * (1.0 + 1e-9));
        CHECK(omega > 0.6 * bound);
    }
}

TEST_CASE("largest frequency: one free element reaches its bound") {
    // the bound is exact for one element: largest of axial, shear, bending and torsion frequency
    BeamMesh mesh;
    mesh.box = Vec3::Constant(10e-3);
    mesh.nodes = {Vec3(1e-3, 2e-3, 3e-3), Vec3(2e-3, 4e-3, 6e-3)};
    mesh.elements = {{.a = 0, .b = 1, .radius = 0.5e-3}};
    const BeamBlock beams = make_beam_block(mesh, moduli);
    const LumpedMass mass = lumped_mass(mesh, beams, density, RotaryRule::True);
    CHECK(rel_err(largest_frequency(mesh, moduli, mass), beam_stable_omega(beams, mass)) < 1e-9);
}
