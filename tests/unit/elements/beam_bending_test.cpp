// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/node_gather.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/elements/beam_samples.hpp"

#include <Eigen/LU>
#include <doctest/doctest.h>

#include <numbers>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

constexpr double pi = std::numbers::pi;
constexpr double row_length = 0.04; // [m]
constexpr double inertia =
    0.25 * pi * sample_radius * sample_radius * sample_radius * sample_radius;

std::vector<NodeLoad>
node_loads(BeamBlock& block, const std::vector<NodePose>& poses, const Vec3& box) {
    std::vector<NodeLoad> loads(poses.size());
    gather_loads(make_node_gather(block), slot_loads(block, poses, box), loads);
    return loads;
}

/// Poses of a row along x whose elements are all turned by `turn` against each other, unstrained
/// otherwise: each chord keeps its length and lies along the mid frame.
std::vector<NodePose> rolled_up(const BeamMesh& mesh, const Vec3& turn) {
    std::vector<NodePose> poses = {pose_of(mesh.nodes[0], Quat::Identity())};
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const Quat q = orientation(poses.back());
        const Vec3 chord = mesh.nodes[e + 1] - mesh.nodes[e];
        poses.push_back(
            pose_of(position(poses.back()) + q * (turn_by(0.5 * turn) * chord), q * turn_by(turn)));
    }
    return poses;
}

/// Stiffness at rest by central differences of the node loads, six unknowns a node.
Eigen::MatrixXd difference_stiffness(BeamBlock& block, const BeamMesh& mesh) {
    const auto n = static_cast<Index>(6 * mesh.nodes.size());
    Eigen::MatrixXd K(n, n);
    for (Index j = 0; j < n; ++j) {
        const double step = j % 6 < 3 ? 1e-6 * sample_length : 1e-6;
        Eigen::VectorXd change = Eigen::VectorXd::Zero(n);
        for (const double sign : {1.0, -1.0}) {
            std::vector<NodePose> poses = rest_poses(mesh);
            const Vec3 along = sign * step * Vec3::Unit(j % 3);
            NodePose& pose = poses[j / 6];
            pose =
                j % 6 < 3 ? pose_of(position(pose) + along, orientation(pose)) : spun(pose, along);
            const std::vector<NodeLoad> loads = node_loads(block, poses, mesh.box);
            for (std::size_t a = 0; a < loads.size(); ++a) {
                change.segment<3>(6 * a) -= sign * force(loads[a]);
                change.segment<3>(6 * a + 3) -= sign * moment(loads[a]);
            }
        }
        K.col(j) = change / (2.0 * step);
    }
    return K;
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Exact: M = EI Theta / L, no force, no load on inner nodes, for any number of elements.
// Source: Euler's elastica under an end moment (references.md B2). Tolerance: rounding.
TEST_CASE("beam: pure bending is exact for one or many elements, to a closed circle") {
    for (const auto& [n, total] :
         {std::pair{1, 0.8 * pi}, std::pair{3, pi}, std::pair{8, 2 * pi}, std::pair{40, 6 * pi}}) {
        const BeamMesh mesh = straight_row(n, {row_length, 0, 0}, sample_radius);
        BeamBlock block = make_beam_block(mesh, sample_moduli());
        const std::vector<NodePose> poses = rolled_up(mesh, {0, 0, total / n});
        const std::vector<NodeLoad> loads = node_loads(block, poses, mesh.box);
        const double M = sample_moduli().youngs * inertia * total / row_length;
        CHECK(rel_err(loads.back().mz, -M) < 1e-11);
        CHECK(rel_err(loads.front().mz, M) < 1e-11);
        for (std::size_t a = 0; a < loads.size(); ++a) {
            CHECK(force(loads[a]).norm() * row_length < 1e-9 * M);
            if (a > 0 && a + 1 < loads.size())
                CHECK(moment(loads[a]).norm() < 1e-10 * M);
        }
        CHECK(rel_err(stored_energy(block, poses, mesh.box), 0.5 * M * total) < 1e-11);
    }
}

// Exact: T = GJ theta / L, J = pi r^4 / 2 (Saint-Venant, round bar).
TEST_CASE("beam: torsion of a round bar") {
    const BeamMesh mesh = straight_row(5, {row_length, 0, 0}, sample_radius);
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    const double theta = 2.5;
    const std::vector<NodeLoad> loads =
        node_loads(block, rolled_up(mesh, {theta / 5, 0, 0}), mesh.box);
    CHECK(rel_err(-loads.back().mx, sample_moduli().shear * 2.0 * inertia * theta / row_length) <
          1e-12);
}

// Problem    cantilever of n equal elements, transverse tip force P, small displacement.
// Exact      the one-point rule integrates the curvature by midpoints: tip deflection
//            P L^3/(3 EI) (1 - 1/(4 n^2)) + P L/(kappa G A); tends to Timoshenko's (references A1).
// Tolerance  central differences, step 1e-6: rounding 1e-10 of EA per entry, amplified by
//            the condition number of the slender row.
TEST_CASE("beam: a slender cantilever does not lock in shear") {
    for (const int n : {1, 2, 5, 10}) {
        const BeamMesh mesh = straight_row(n, {row_length, 0, 0}, sample_radius); // L / r = 100
        BeamBlock block = make_beam_block(mesh, sample_moduli());
        const Eigen::MatrixXd K = difference_stiffness(block, mesh);
        const Index free = 6 * n;
        Eigen::VectorXd load = Eigen::VectorXd::Zero(free);
        load[free - 5] = 1.0;
        const Eigen::VectorXd u = K.bottomRightCorner(free, free).fullPivLu().solve(load);
        const SectionModuli m = sample_moduli();
        const double L = row_length;
        const double kGA = m.shear_factor * m.shear * pi * sample_radius * sample_radius;
        const double bending = L * L * L / (3.0 * m.youngs * inertia);
        INFO("elements ", n);
        CHECK(rel_err(u[free - 5], bending * (1.0 - 0.25 / (n * n)) + L / kGA) < 1e-5);
    }
}

// Exact: loads turn with the whole; energy stays. Tolerance: rounding.
TEST_CASE("beam: loads are objective under a superposed rotation") {
    BeamMesh mesh = loose_elements(30, 101);
    for (BeamElement& element : mesh.elements) {
        // the box does not turn with the body: keep to elements inside
        mesh.nodes[element.b] += element.image_b.cast<double>().cwiseProduct(mesh.box);
        element.image_b = Vec3i::Zero();
    }
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    const std::vector<NodePose> poses = strongly_bent(mesh, 102);
    const std::vector<NodeLoad> before = slot_loads(block, poses, mesh.box);
    const double energy = stored_energy(block, poses, mesh.box);
    for (const Vec3& rotation : {Vec3(0, 0, 3.1), Vec3(1.0, -2.0, 0.7), Vec3(-0.2, 0.1, 5.0)}) {
        const Quat q = turn_by(rotation);
        std::vector<NodePose> turned;
        std::vector<NodeLoad> want;
        for (const NodePose& pose : poses) {
            // q and -q are the same orientation: take either
            Quat total = q * orientation(pose);
            if (turned.size() % 2 == 1)
                total.coeffs() *= -1.0;
            turned.push_back(pose_of(q * position(pose) + Vec3(0.1, 0.2, -0.1), total));
        }
        for (const NodeLoad& load : before) {
            const Vec3 f = q * force(load), m = q * moment(load);
            want.push_back({f.x(), f.y(), f.z(), m.x(), m.y(), m.z()});
        }
        CHECK(load_difference(slot_loads(block, turned, mesh.box), want) < 1e-10);
        CHECK(rel_err(stored_energy(block, turned, mesh.box), energy) < 1e-11);
    }
}

TEST_CASE("beam: loads depend on the pose, not on the way there") {
    const BeamMesh mesh = loose_elements(10, 111);
    BeamBlock straight = make_beam_block(mesh, sample_moduli());
    BeamBlock around = straight;
    const std::vector<NodePose> end = strongly_bent(mesh, 112);
    for (unsigned i = 0; i < 5; ++i)
        REQUIRE(!slot_loads(around, strongly_bent(mesh, 120 + i), mesh.box).empty());
    CHECK(load_difference(slot_loads(around, end, mesh.box), slot_loads(straight, end, mesh.box)) ==
          0.0);
}

// Exact: N = EA Gamma + b rho A c h dGamma/dt; work of the end = stored + dissipated.
TEST_CASE("beam: bulk viscosity resists the rate of stretch and is counted as dissipated") {
    const BeamMesh mesh = straight_row(1, {sample_length, 0, 0}, sample_radius);
    const SectionModuli moduli = sample_moduli();
    BeamBlock block = make_beam_block(mesh, moduli);
    const double rho = 1100.0, b = 0.06, dt = 1e-6;
    set_bulk_viscosity(block, b, rho, moduli);
    const double area = pi * sample_radius * sample_radius;
    const double viscosity = b * rho * area * std::sqrt(moduli.youngs / rho) * sample_length;
    std::vector<NodePose> poses = rest_poses(mesh);
    std::vector<NodeLoad> slots(2);
    double work = 0.0, strain = 0.0;
    for (int n = 0; n <= 50; ++n) {
        const double f = slots[1].fx, next = 0.05 * std::sin(0.2 * n);
        poses[1].x = (1.0 + next) * sample_length;
        REQUIRE(beam_forces(block, poses, mesh.box, dt, slots, WithEnergy::Yes) == no_index);
        const double want = moduli.youngs * area * next + viscosity * (next - strain) / dt;
        CHECK(std::abs(slots[1].fx + want) < 1e-12 * moduli.youngs * area);
        work -= 0.5 * (f + slots[1].fx) * (next - strain) * sample_length;
        strain = next;
        const BeamEnergies energy = beam_energies(block);
        CHECK(std::abs(energy.stored + energy.dissipated - work) <
              1e-14 * moduli.youngs * area * sample_length);
    }
    CHECK(beam_energies(block).dissipated > 0.0);
    // a step of no length has no rate
    REQUIRE(beam_forces(block, poses, mesh.box, 0.0, slots, WithEnergy::No) == no_index);
    CHECK(rel_err(-slots[1].fx, moduli.youngs * area * strain) < 1e-12);
}

TEST_SUITE_END();
