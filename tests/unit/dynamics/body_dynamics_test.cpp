// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/body_dynamics.hpp"

#include "solver/cli/verify/known_beams.hpp"
#include "tests/support/compare.hpp"

#include <Eigen/Geometry>
#include <doctest/doctest.h>
#include <omp.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;

namespace {

// The STD strut of the reference list: r 0.5 mm, L 10 mm, E 50 MPa, nu 0.45, 1200 kg/m^3.
constexpr double r = 0.5e-3, L = 10e-3, E = 50e6, nu = 0.45, rho = 1200.0;

BodyDynamics make_chain(const BeamMesh& mesh, DynamicsSettings settings = {}) {
    BeamBlock block = make_beam_block(mesh, section_moduli(E, nu));
    LumpedMass mass = lumped_mass(mesh, block, rho, RotaryRule::True);
    return {mesh.nodes, BeamBody(mesh, std::move(block), std::move(mass)), settings};
}

/// A bent chain thrown into the air, spinning and vibrating.
BodyDynamics thrown_frame(int per_leg) {
    const BeamMesh mesh =
        known_beams::chain({{0, 0, 0}, {L, 0, 0}, {L, L, 0}, {L, L, L}}, per_leg, r);
    BodyDynamics body = make_chain(mesh);
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
        const Vec3 x = mesh.nodes[i];
        // rigid spin of 500 rad/s, a throw, and a stretch that sets the frame vibrating
        const Vec3 spin(100.0, -300.0, 400.0);
        body.set_velocity(static_cast<Index>(i),
                          Vec3(2.0, 1.0, -1.0) + spin.cross(x) + Vec3(200.0 * x.x(), 0, 0), spin);
    }
    body.start();
    return body;
}

} // namespace

// Problem    free flight of a stubby right-angled frame with spin and vibration (row C6)
// Exact      linear and angular momentum constant; total energy constant
// Tolerance  momenta: rounding of the sums; energy: the symplectic scheme has a bounded error of
// the
//            order of the highest excited (w dt)^2 share, here under 0.1 %
TEST_CASE("BodyDynamics: a free frame keeps its momenta to rounding and its energy") {
    BodyDynamics body = thrown_frame(6);
    const Vec3 p0 = body.motion().momentum(), l0 = body.motion().angular_momentum();
    double worst_energy = 0.0, start = 0.0;
    for (int n = 0; n < 20000; ++n) {
        body.want_energies();
        body.step();
        const EnergyLedger& now = body.ledger();
        if (n == 1)
            start = now.accounted();
        if (n > 1)
            worst_energy = std::max(worst_energy, test::rel_err(now.accounted(), start));
    }
    CHECK((body.motion().momentum() - p0).norm() < 1e-11 * p0.norm());
    CHECK((body.motion().angular_momentum() - l0).norm() < 1e-11 * l0.norm());
    CHECK(worst_energy < 1e-3);
}

TEST_CASE("BodyDynamics: same bits for 1, 2 and 3 threads") {
    std::vector<double> x;
    for (const int threads : {1, 2, 3}) {
        omp_set_num_threads(threads);
        BodyDynamics body = thrown_frame(400); // several chunks of nodes and groups
        for (int n = 0; n < 50; ++n)
            body.step();
        x.push_back(body.motion().poses()[300].x);
        CHECK(x.back() == x.front());
    }
    omp_set_num_threads(1);
}

TEST_CASE("BodyDynamics: a restored run goes on to the same bits") {
    BodyDynamics one = thrown_frame(6), two = thrown_frame(6);
    for (int n = 0; n < 300; ++n)
        one.step();
    const BodyDynamics::State state = one.save();
    for (int n = 0; n < 300; ++n)
        one.step();
    two.restore(state);
    for (int n = 0; n < 300; ++n)
        two.step();
    for (std::size_t i = 0; i < one.motion().poses().size(); ++i) {
        CHECK(one.motion().poses()[i].x == two.motion().poses()[i].x);
        CHECK(one.motion().poses()[i].qz == two.motion().poses()[i].qz);
    }
    CHECK(one.time() == two.time());
}

// Problem    STD strut cantilever, dead tip force 0.001 N, brought to rest by damping (row A1 / 10)
// Exact      Timoshenko PL^3/3EI + PL/(kGA) = 0.1366356 mm in small rotation; with finite rotation
// the
//            elastica is lower by 0.018 % at P L^2/EI = 0.0407
// Tolerance  0.1 %: 0.018 % and the one-point rule's h^2 error 1/(4 n^2) = 0.0625 % of 20 elements
TEST_CASE("BodyDynamics: a damped cantilever settles at the Timoshenko deflection") {
    const double P = 1e-3;
    const BeamMesh mesh = known_beams::chain({{0, 0, 0}, {L, 0, 0}}, 20, r);
    BodyDynamics body = make_chain(mesh, {.damping_per_s = 2.0 * 2.0 * std::numbers::pi * 285.0});
    body.add_group({.nodes = {0}});
    body.add_load({.node = 20, .force = Vec3(0, 0, -P)});
    body.start();
    while (body.time() < 0.02)
        body.step();
    CHECK(test::rel_err(-body.motion().poses()[20].z, 0.1366356e-3) < 1e-3);
    CHECK(test::rel_err(body.motion().reaction(0).force.z(), P) < 1e-6);
    CHECK(test::rel_err(body.motion().reaction(0).moment.y(), -P * L) < 1e-3);
}
