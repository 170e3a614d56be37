// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_forces.hpp"

#include "solver/elements/node_gather.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/elements/beam_samples.hpp"

#include <doctest/doctest.h>

#include <cstring>
#include <numbers>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

double largest_EA(const BeamBlock& block) {
    double EA = 0.0;
    for (Index e = 0; e < block.n_elements; ++e)
        EA = std::max(EA, block.groups[e / group_lanes].EA[e % group_lanes]);
    return EA;
}

/// Largest force, and moment over length, of any slot, in parts of EA.
double largest_load(const BeamBlock& block, const std::vector<NodeLoad>& slots) {
    double largest = slots.empty() ? std::nan("") : 0.0;
    for (const NodeLoad& load : slots)
        largest = std::max({largest, force(load).norm(), moment(load).norm() / sample_length});
    return largest / largest_EA(block);
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Source: references.md A15. Tolerance: rounding, residual < 1e-10 of EA.
TEST_CASE("beam: no load under rigid translation and rotation") {
    const BeamMesh mesh = loose_elements(50, 1);
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    const std::vector<NodePose> rest = rest_poses(mesh);
    CHECK(largest_load(block, slot_loads(block, rest, mesh.box)) < 1e-12);

    const double right = 0.5 * std::numbers::pi;
    for (const Vec3& rotation : {Vec3(0, 0, 0), Vec3(right, 0, 0), Vec3(0, right, 0),
                                 Vec3(0, 0, right), Vec3(2.0, -1.0, 1.7), Vec3(0, 3.1, 0)}) {
        const Quat q = turn_by(rotation);
        std::vector<NodePose> moved = rest;
        for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
            // end b reaches across the box, whose axes do not turn: turn the true span
            const Vec3 image = mesh.elements[e].image_b.cast<double>().cwiseProduct(mesh.box);
            const Vec3 a = Vec3(0.003, -0.02, 0.011) + q * mesh.nodes[2 * e];
            const Vec3 b = a + q * (mesh.nodes[2 * e + 1] + image - mesh.nodes[2 * e]) - image;
            moved[2 * e] = pose_of(a, q);
            moved[2 * e + 1] = pose_of(b, q);
        }
        CHECK(largest_load(block, slot_loads(block, moved, mesh.box)) < 1e-11);
    }
}

// Exact: loads are minus the gradient of the stored energy for spatial spins.
// Tolerance: central differences, fourth order, step 1e-3 of length and radian: truncation
// ~ step^4 = 1e-12, rounding ~ 1e-16 / 1e-3 of the energy; relative to the largest load.
TEST_CASE("beam: loads are minus the energy gradient in large strain and rotation") {
    const BeamMesh mesh = loose_elements(40, 2);
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    const std::vector<NodePose> poses = strongly_bent(mesh, 3);
    const std::vector<NodeLoad> slots = slot_loads(block, poses, mesh.box);
    REQUIRE(slots.size() == 80);

    const auto energies_at = [&](std::size_t end, const Vec3& shift, const Vec3& spin) {
        std::vector<NodePose> moved = poses;
        for (std::size_t n = end; n < moved.size(); n += 2) {
            moved[n] = spun(moved[n], spin);
            moved[n] = pose_of(position(moved[n]) + shift, orientation(moved[n]));
        }
        std::vector<double> stored(40), dissipated(40);
        REQUIRE(!slot_loads(block, moved, mesh.box).empty());
        element_energies(block, stored, dissipated);
        return stored;
    };
    for (const std::size_t end : {0U, 1U})
        for (int axis = 0; axis < 6; ++axis) {
            const double unit = axis < 3 ? sample_length : 1.0;
            const double step = 1e-3 * unit;
            const auto at = [&](double size) {
                const Vec3 along = size * Vec3::Unit(axis % 3);
                return axis < 3 ? energies_at(end, along, Vec3::Zero())
                                : energies_at(end, Vec3::Zero(), along);
            };
            const auto p1 = at(step), m1 = at(-step), p2 = at(2 * step), m2 = at(-2 * step);
            for (std::size_t e = 0; e < 40; ++e) {
                const double slope = (8.0 * (p1[e] - m1[e]) - (p2[e] - m2[e])) / (12.0 * step);
                const NodeLoad& load = slots[2 * e + end];
                const double got = axis < 3 ? force(load)[axis] : moment(load)[axis - 3];
                const double scale = axis < 3 ? force(load).norm() : moment(load).norm();
                INFO("element ", e, " end ", end, " axis ", axis);
                CHECK(std::abs(got + slope) < 1e-8 * scale);
            }
        }
}

// Exact: an element alone takes neither force nor moment from nowhere. Tolerance: rounding.
TEST_CASE("beam: force and moment of an element balance") {
    const BeamMesh mesh = loose_elements(64, 4);
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    const std::vector<NodePose> poses = strongly_bent(mesh, 5);
    const std::vector<NodeLoad> slots = slot_loads(block, poses, mesh.box);
    REQUIRE(slots.size() == 128);
    for (std::size_t e = 0; e < 64; ++e) {
        const NodeLoad &a = slots[2 * e], &b = slots[2 * e + 1];
        const Vec3 image = mesh.elements[e].image_b.cast<double>().cwiseProduct(mesh.box);
        const Vec3 span = position(poses[2 * e + 1]) + image - position(poses[2 * e]);
        const Vec3 turning = moment(a) + moment(b) + span.cross(force(b));
        CHECK((force(a) + force(b)).norm() == 0.0);
        CHECK(turning.norm() < 1e-13 * (moment(a).norm() + span.norm() * force(b).norm()));
    }
}

TEST_SUITE_END();
