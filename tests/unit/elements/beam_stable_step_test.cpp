// SPDX-License-Identifier: Apache-2.0
#include "solver/core/error.hpp"
#include "solver/elements/beam_stable_step.hpp"
#include "solver/elements/node_gather.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/elements/beam_samples.hpp"

#include <Eigen/Eigenvalues>
#include <doctest/doctest.h>

#include <numbers>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

constexpr double density = 1100.0;

/// Largest squared frequency of small motions about a pose: difference stiffness (its symmetric
/// part) against the lumped mass turned with the nodes.
double largest_squared_frequency(BeamBlock& block,
                                 const BeamMesh& mesh,
                                 const std::vector<NodePose>& poses,
                                 const LumpedMass& mass) {
    const auto n = static_cast<Index>(6 * poses.size());
    const NodeGather gather = make_node_gather(block);
    Eigen::MatrixXd K(n, n), M = Eigen::MatrixXd::Zero(n, n);
    std::vector<NodeLoad> loads(poses.size());
    for (Index j = 0; j < n; ++j) {
        const double step = j % 6 < 3 ? 1e-5 * sample_length : 1e-5;
        Eigen::VectorXd change = Eigen::VectorXd::Zero(n);
        for (const double sign : {1.0, -1.0}) {
            std::vector<NodePose> moved = poses;
            const Vec3 along = sign * step * Vec3::Unit(j % 3);
            NodePose& pose = moved[j / 6];
            pose =
                j % 6 < 3 ? pose_of(position(pose) + along, orientation(pose)) : spun(pose, along);
            gather_loads(gather, slot_loads(block, moved, mesh.box), loads);
            for (std::size_t a = 0; a < loads.size(); ++a) {
                change.segment<3>(6 * a) -= sign * force(loads[a]);
                change.segment<3>(6 * a + 3) -= sign * moment(loads[a]);
            }
        }
        K.col(j) = change / (2.0 * step);
    }
    for (std::size_t a = 0; a < poses.size(); ++a) {
        const Mat3 R = orientation(poses[a]).toRotationMatrix();
        M.block<3, 3>(6 * a, 6 * a) = mass.mass[a] * Mat3::Identity();
        M.block<3, 3>(6 * a + 3, 6 * a + 3) = R * mass.inertia[a] * R.transpose();
    }
    const Eigen::MatrixXd S = 0.5 * (K + K.transpose());
    return Eigen::GeneralizedSelfAdjointEigenSolver<Eigen::MatrixXd>(S, M, Eigen::EigenvaluesOnly)
        .eigenvalues()
        .maxCoeff();
}

double squared(double x) {
    return x * x;
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Exact: eigenvalues of the difference stiffness of one free element. Tolerance: differences.
TEST_CASE("stable step: the bound is the largest frequency of one element at rest") {
    for (const double slenderness : {1.0, 3.0, 10.0})
        for (const RotaryRule rule : {RotaryRule::True, RotaryRule::RaisedToAxial}) {
            const BeamMesh mesh =
                straight_row(1, {0, 0, slenderness * sample_radius}, sample_radius);
            BeamBlock block = make_beam_block(mesh, sample_moduli());
            const LumpedMass mass = lumped_mass(mesh, block, density, rule);
            const std::vector<NodePose> rest = rest_poses(mesh);
            const double bound = squared(beam_stable_omega(block, mass));
            CHECK(rel_err(largest_squared_frequency(block, mesh, rest, mass), bound) < 1e-6);
            CHECK(rel_err(squared(beam_stable_omega(block, mass, rest, mesh.box)), bound) < 1e-12);
        }
}

// Exact: eigenvalues of the difference stiffness, which must not be above the bound.
// Tolerance: differences, 1e-6.
TEST_CASE("stable step: the bound holds for strained and turned elements") {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> part(-1.0, 1.0);
    double worst = 0.0, worst_rest = 0.0;
    for (const double slenderness : {1.0, 2.0, 4.0, 8.0})
        for (const RotaryRule rule : {RotaryRule::True, RotaryRule::RaisedToAxial}) {
            const double h = slenderness * sample_radius;
            const BeamMesh mesh = straight_row(1, {h, 0, 0}, sample_radius);
            BeamBlock block = make_beam_block(mesh, sample_moduli());
            const LumpedMass mass = lumped_mass(mesh, block, density, rule);
            for (int i = 0; i < 50; ++i) {
                const double shear = i % 2 == 0 ? 0.3 : 0.0, turn = i % 3 == 0 ? 0.0 : 0.65;
                const Vec3 strain(0.5 * part(random), shear * part(random), shear * part(random));
                const Vec3 rotation = turn * Vec3(part(random), part(random), part(random));
                std::vector<NodePose> poses = rest_poses(mesh);
                poses[1] = pose_of(h * (turn_by(0.5 * rotation) * (Vec3::UnitX() + strain)),
                                   turn_by(rotation));
                const double exact = largest_squared_frequency(block, mesh, poses, mass);
                const double bound = squared(beam_stable_omega(block, mass, poses, mesh.box));
                worst = std::max(worst, exact / bound);
                worst_rest = std::max(worst_rest, exact / squared(beam_stable_omega(block, mass)));
            }
        }
    CHECK(worst < 1.0 + 1e-6);
    CHECK(worst > 0.99);     // and it is not loose everywhere
    CHECK(worst_rest > 1.3); // which the one at rest is not enough for
}

TEST_CASE("stable step: no frequency of a strained frame is above the bound") {
    BeamMesh mesh; // a tripod with a ring, invented
    mesh.box = sample_box;
    mesh.nodes = {{0, 0, 2e-3}, {1.5e-3, 0, 0}, {-0.8e-3, 1.3e-3, 0}, {-0.8e-3, -1.3e-3, 0.2e-3}};
    for (const auto& [a, b] : {std::pair{0, 1}, std::pair{0, 2}, std::pair{0, 3}, std::pair{1, 2},
                               std::pair{2, 3}, std::pair{3, 1}})
        mesh.elements.push_back({.a = a, .b = b, .radius = sample_radius * (1.0 + 0.2 * a)});
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    for (const RotaryRule rule : {RotaryRule::True, RotaryRule::RaisedToAxial}) {
        const LumpedMass mass = lumped_mass(mesh, block, density, rule);
        for (const double size : {0.0, 1e-4, 3e-4}) {
            const std::vector<NodePose> poses = random_poses(mesh, size, size * 1000.0, 17);
            CHECK(largest_squared_frequency(block, mesh, poses, mass) <
                  squared(beam_stable_omega(block, mass, poses, mesh.box)) * (1.0 + 1e-6));
        }
    }
}

// Exact: the tangent of the table times that of a linear section.
TEST_CASE("stable step: a fibre section in compression stiffens with its table") {
    UniaxialTable table{.stretch_min = 0.3, .stretch_step = 0.001};
    const double youngs = sample_moduli().youngs;
    for (int i = 0; i <= 1200; ++i) {
        const double l = 0.3 + 0.001 * i; // incompressible neo-Hookean
        table.stress_Pa.push_back(youngs / 3.0 * (l - 1.0 / (l * l)));
        table.slope_Pa.push_back(youngs / 3.0 * (1.0 + 2.0 / (l * l * l)));
        table.energy_J_per_m3.push_back(youngs / 6.0 * (l * l + 2.0 / l - 3.0));
    }
    const BeamMesh mesh = straight_row(1, {sample_radius, 0, 0}, sample_radius);
    FibreBlock block = make_fibre_block(mesh, sample_moduli(), table, {}, DiscRule::Twelve);
    const LumpedMass mass = lumped_mass(mesh, block.beams, density, RotaryRule::True);
    CHECK(rel_err(beam_stable_omega(block, mass), beam_stable_omega(block.beams, mass)) < 1e-9);
    std::vector<NodePose> poses = rest_poses(mesh);
    poses[1].x *= 0.7;
    REQUIRE(!slot_loads(block, poses, mesh.box).empty());
    const double tangent = (1.0 + 2.0 / (0.7 * 0.7 * 0.7)) / 3.0;
    const double EI = tangent * block.beams.groups[0].EI[0]; // bending rules at h = r
    CHECK(squared(beam_stable_omega(block, mass)) >=
          2.0 * EI / (sample_radius * mass.end[0].bend) * (1.0 - 1e-9));
    CHECK(squared(beam_stable_omega(block, mass)) <
          3.0 * squared(beam_stable_omega(block.beams, mass)));
}

// Exact: the tangent at the start of unloading, E + P^2 2/(sqrt(pi) r (m + beta W)), by differences
// of the force, over that of the linear section.
TEST_CASE("stable step: a damaged fibre section is as stiff as it unloads") {
    UniaxialTable table{.stretch_min = 0.3, .stretch_step = 0.001};
    const double youngs = sample_moduli().youngs;
    for (int i = 0; i <= 1200; ++i) {
        const double e = 0.3 + 0.001 * i - 1.0; // linear
        table.stress_Pa.push_back(youngs * e);
        table.slope_Pa.push_back(youngs);
        table.energy_J_per_m3.push_back(0.5 * youngs * e * e);
    }
    const MullinsDamage damage{.r = 1.5, .m = 1e5, .beta = 0.1};
    const BeamMesh mesh = straight_row(1, {sample_length, 0, 0}, sample_radius);
    FibreBlock block = make_fibre_block(mesh, sample_moduli(), table, {}, DiscRule::Twelve, damage);
    const LumpedMass mass = lumped_mass(mesh, block.beams, density, RotaryRule::RaisedToAxial);
    std::vector<NodePose> poses = rest_poses(mesh);
    const auto force_at = [&](double strain) {
        poses[1].x = (1.0 + strain) * sample_length;
        return slot_loads(block, poses, mesh.box)[0].fx;
    };
    const double strain = 0.3, step = 1e-6, loaded = force_at(strain);
    const double tangent = (loaded - force_at(strain - step)) / step;
    force_at(strain);
    const double growth = tangent / block.beams.groups[0].EA[0];
    CHECK(growth > 1.5);
    CHECK(squared(beam_stable_omega(block, mass)) >=
          growth * squared(beam_stable_omega(block.beams, mass)) * (1.0 - 1e-5));
}

// Exact: rho A h and rho I h of a round bar, summed over elements.
TEST_CASE("lumped mass: totals are those of the bars, tensors follow their axes") {
    const BeamMesh mesh = loose_elements(25, 3);
    const BeamBlock block = make_beam_block(mesh, sample_moduli());
    const LumpedMass mass = lumped_mass(mesh, block, density, RotaryRule::True);
    double total = 0.0;
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const Vec3 image = mesh.elements[e].image_b.cast<double>().cwiseProduct(mesh.box);
        const Vec3 span = mesh.nodes[2 * e + 1] + image - mesh.nodes[2 * e];
        const double r = mesh.elements[e].radius, h = span.norm();
        const double m = density * std::numbers::pi * r * r * h;
        total += m;
        const Vec3 e1 = span / h;
        const Mat3 want = 0.125 * m * r * r * (Mat3::Identity() + e1 * e1.transpose());
        CHECK((mass.inertia[2 * e] - want).norm() < 1e-13 * want.norm());
        CHECK((mass.inertia[2 * e + 1] - want).norm() < 1e-13 * want.norm());
    }
    CHECK(rel_err(mass.total, total) < 1e-13);
    CHECK(mass.added_rotary == 0.0);
}

TEST_CASE("lumped mass: raised rotary inertia brings every frequency down to the axial one") {
    for (const double slenderness : {0.5, 2.0, 12.0}) {
        const double h = slenderness * sample_radius;
        BeamMesh mesh = straight_row(1, {h, 0, 0}, sample_radius);
        mesh.elements[0].mass_factor = 0.8;
        const BeamBlock block = make_beam_block(mesh, sample_moduli());
        const LumpedMass mass = lumped_mass(mesh, block, density, RotaryRule::RaisedToAxial);
        const double axial = std::sqrt(2.0 * block.groups[0].EA[0] / (h * mass.end[0].mass));
        CHECK(rel_err(beam_stable_omega(block, mass), axial) < 1e-12);
        CHECK(rel_err(mass.total, 0.8 * density * std::numbers::pi * sample_radius * sample_radius *
                                      h) < 1e-13);
        CHECK(mass.added_rotary >= 0.0);
    }
}

TEST_CASE("lumped mass: bad density and mass factor are refused") {
    BeamMesh mesh = loose_elements(2, 5);
    const BeamBlock block = make_beam_block(mesh, sample_moduli());
    CHECK_THROWS_AS(lumped_mass(mesh, block, 0.0, RotaryRule::True), Error);
    mesh.elements[1].mass_factor = -1.0;
    CHECK_THROWS_WITH_AS(lumped_mass(mesh, block, density, RotaryRule::True),
                         "beam element 1: mass factor -1 must be above 0", Error);
}

TEST_SUITE_END();
