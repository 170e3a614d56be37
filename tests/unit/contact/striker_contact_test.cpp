// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/striker_contact.hpp"

#include "solver/contact/penalty.hpp"
#include "solver/contact/platen_contact.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>
#include <omp.h>

#include <cmath>

namespace cellgrade {
namespace {

using test::rel_err;
using test::rod_radius;

/// Two struts that share a node and reach from inside the box to its upper face.
BeamMesh roof() {
    BeamMesh mesh;
    mesh.box = Vec3(6e-3, 4e-3, 3e-3);
    mesh.nodes = {Vec3(1e-3, 1.8e-3, 2.2e-3), Vec3(3e-3, 2e-3, 3e-3), Vec3(4.6e-3, 2.3e-3, 2.6e-3)};
    mesh.is_joint = {true, true, true};
    for (const Index a : {0, 1})
        mesh.elements.push_back({.a = a, .b = a + 1, .radius = rod_radius, .strut = a});
    return mesh;
}

/// A net, its nodes by hand, and a striker.
struct Bench {
    BeamMesh mesh = roof();
    std::vector<double> mass = test::node_masses(mesh);
    std::vector<NodePose> pose = test::pose_of(mesh.nodes);
    std::vector<NodeRate> rate = std::vector<NodeRate>(pose.size());
    std::vector<NodeLoad> load = std::vector<NodeLoad>(pose.size());
    StrikerPlace striker;

    void press(StrikerContact& contact, double dt) {
        load.assign(pose.size(), NodeLoad{});
        contact.add_loads(pose, rate, striker, dt, load);
    }
};

constexpr StrikerSurface ball{.face = StrikerFace::Sphere, .radius = 4e-3};

/// The bench with a ball pressed into both struts beside their joint.
Bench pressed_bench() {
    Bench bench;
    bench.striker.centre = Vec3(2.2e-3, 2.1e-3, 6.83e-3);
    return bench;
}

} // namespace

TEST_CASE("striker contact: forces are minus the slope of the stored energy") {
    Bench bench = pressed_bench();
    StrikerContact contact(bench.mesh, bench.mass, ball, test::rod_settings(0.0));
    bench.press(contact, 0.0);
    REQUIRE(contact.report().n_touching == 2);
    const std::vector<NodeLoad> load = bench.load;
    const Vec3 on_striker = contact.report().force;
    const double h = 1e-9, scale = on_striker.norm();
    const auto slope = [&](double& x) {
        const double at = x;
        x = at + h;
        bench.press(contact, 0.0);
        const double above = contact.report().normal_energy;
        x = at - h;
        bench.press(contact, 0.0);
        const double below = contact.report().normal_energy;
        x = at;
        return (above - below) / (2.0 * h);
    };
    for (std::size_t i = 0; i < 3; ++i) {
        const Vec3 f = test::force(load[i]);
        CHECK(std::abs(slope(bench.pose[i].x) + f.x()) < 1e-5 * scale);
        CHECK(std::abs(slope(bench.pose[i].y) + f.y()) < 1e-5 * scale);
        CHECK(std::abs(slope(bench.pose[i].z) + f.z()) < 1e-5 * scale);
    }
    for (int axis = 0; axis < 3; ++axis)
        CHECK(std::abs(slope(bench.striker.centre[axis]) + on_striker[axis]) < 1e-5 * scale);
}

TEST_CASE("striker contact: forces and moments on net and striker balance, friction and all") {
    Bench bench = pressed_bench();
    StrikerContact contact(bench.mesh, bench.mass, ball, test::rod_settings(0.4));
    const double touch = contact.first_touch(bench.mesh.nodes, 2.2e-3, 2.1e-3);
    bench.striker.centre.z() = touch - 0.05e-3; // half the cap: a force that friction can follow
    bench.striker.velocity = Vec3(0.3, 0.0, -0.1);
    bench.striker.spin = 40.0;
    bench.rate[1].vy = 0.2;
    bench.rate[0].wx = 100.0;
    for (int n = 0; n < 4; ++n)
        bench.press(contact, 5e-4);
    const StrikerReport& report = contact.report();
    CHECK(report.friction_dissipation > 0.0);
    Vec3 force = report.force;
    double turning = bench.striker.centre.cross(report.force).y() + report.torque;
    for (std::size_t i = 0; i < 3; ++i) {
        const NodeLoad& l = bench.load[i];
        force += test::force(l);
        const NodePose& p = bench.pose[i];
        turning += Vec3(p.x, p.y, p.z).cross(test::force(l)).y() + l.my;
    }
    CHECK(force.norm() < 1e-12 * report.force.norm());
    CHECK(std::abs(turning) < 1e-12 * report.force.norm() * 6e-3);
}

// Exact      depth = ball radius + strut radius - distance of the centre from the strut's axis
TEST_CASE("striker contact: a ball finds the middle of a strut between its nodes") {
    BeamMesh mesh;
    mesh.box = Vec3(4e-3, 4e-3, 4e-3);
    test::add_rod(mesh, Vec3(1e-3, 2e-3, 1e-3), Vec3(3e-3, 2e-3, 1e-3));
    Bench bench{.mesh = mesh};
    StrikerContact contact(mesh, bench.mass, ball, test::rod_settings(0.0));
    const double depth = 0.03e-3;
    bench.striker.centre = Vec3(2e-3, 2e-3, 1e-3 + ball.radius + rod_radius - depth);
    bench.press(contact, 0.0);
    CHECK(rel_err(contact.report().deepest_share, depth / rod_radius) < 1e-9);
    // each end takes half
    CHECK(rel_err(bench.load[0].fz, -0.5 * contact.report().force.z()) < 1e-12);
    CHECK(rel_err(bench.load[1].fz, -0.5 * contact.report().force.z()) < 1e-12);
    const StrikerMember& m = contact.members().front();
    const Penalty penalty{.stiffness = m.stiffness, .cap = m.cap};
    CHECK(rel_err(contact.report().force.z(), penalty.force(depth)) < 1e-9);
    CHECK(rel_err(contact.report().tangent, penalty.tangent(depth)) < 1e-9);
}

TEST_CASE("striker contact: a flat face that stays level loads the nodes as a platen does") {
    Bench bench = pressed_bench();
    const std::vector<double>& mass = bench.mass;
    const ContactSettings settings = test::rod_settings(0.3);
    StrikerContact contact(bench.mesh, mass, {.centre_height = 2e-3}, settings);
    PlatenContact platen(bench.mesh, mass, {upper_platen(bench.mesh)}, settings);
    const double face = 2.95e-3;
    bench.striker = {.centre = Vec3(0.0, 0.0, face + 2e-3), .velocity = Vec3(0.2, 0.0, -1.0)};
    std::vector<NodeLoad> by_platen;
    for (int n = 0; n < 3; ++n) {
        bench.press(contact, 1e-5);
        by_platen.assign(3, NodeLoad{});
        platen.add_loads(
            bench.pose, bench.rate,
            std::vector<PlaneMotion>{{.position = face, .velocity = Vec3(0.2, 0.0, -1.0)}}, 1e-5,
            by_platen);
    }
    CHECK(contact.report().n_touching == platen.report()[0].n_touching);
    CHECK(contact.report().n_touching > 0);
    const double scale = contact.report().force.norm();
    CHECK((contact.report().force - platen.report()[0].force).norm() < 1e-12 * scale);
    CHECK(rel_err(contact.report().normal_energy, platen.report()[0].normal_energy) < 1e-12);
    CHECK(rel_err(contact.node_omega_squared(), platen.stable_omega_squared_bound()) < 1e-12);
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK((test::force(bench.load[i]) - test::force(by_platen[i])).norm() < 1e-12 * scale);
        CHECK((test::moment(bench.load[i]) - test::moment(by_platen[i])).norm() <
              1e-12 * scale * rod_radius);
    }
}

// Exact      flat: the height of the specimen. Ball over the tip of a strut on the upper face, h
//            beside it: sqrt(R^2 - h^2) above the tip
TEST_CASE("striker contact: the first touch is found, and a ball that passes by is refused") {
    BeamMesh mesh;
    mesh.box = Vec3(8e-3, 4e-3, 4e-3);
    test::add_rod(mesh, Vec3(2e-3, 2e-3, 0.0), Vec3(2e-3, 2e-3, 4e-3));
    const std::vector<double> mass = test::node_masses(mesh);
    const StrikerContact flat(mesh, mass, {.centre_height = 1e-3}, test::rod_settings(0.0));
    CHECK(rel_err(flat.first_touch(mesh.nodes, 4e-3, 2e-3), 5e-3) < 1e-9);
    const StrikerContact sphere(mesh, mass, ball, test::rod_settings(0.0));
    CHECK(rel_err(sphere.first_touch(mesh.nodes, 3e-3, 2e-3), 4e-3 + std::sqrt(15.0) * 1e-3) <
          1e-9);
    CHECK_THROWS_WITH_AS((void)sphere.first_touch(mesh.nodes, 7.9e-3, 2e-3),
                         doctest::Contains("passes by"), Error);
}

TEST_CASE("striker contact: same bits for 1, 2 and 3 threads") {
    const BeamMesh mesh = test::random_rods(4000, 2e8, {}, 7);
    std::vector<std::vector<NodeLoad>> loads;
    for (const int threads : {1, 2, 3}) {
        omp_set_num_threads(threads);
        Bench bench{.mesh = mesh};
        StrikerContact contact(mesh, bench.mass, {.face = StrikerFace::Sphere, .radius = 10e-3},
                               test::rod_settings(0.3));
        bench.striker = {.centre = 0.5 * mesh.box, .velocity = Vec3(1.0, 0.0, -2.0)};
        for (int n = 0; n < 3; ++n)
            bench.press(contact, 1e-6);
        CHECK(contact.report().n_touching > 100);
        loads.push_back(bench.load);
    }
    omp_set_num_threads(1);
    for (const std::vector<NodeLoad>& load : loads)
        for (std::size_t i = 0; i < load.size(); ++i)
            CHECK((load[i].fx == loads[0][i].fx && load[i].fz == loads[0][i].fz &&
                   load[i].my == loads[0][i].my));
}

TEST_CASE("striker contact: what it cannot do is refused") {
    BeamMesh mesh = roof();
    const std::vector<double> mass = test::node_masses(mesh);
    CHECK_THROWS_WITH_AS(
        StrikerContact(mesh, mass, {.face = StrikerFace::Sphere}, test::rod_settings(0.0)),
        doctest::Contains("radius is 0 m"), Error);
    mesh.periodic = {true, true, false};
    CHECK_THROWS_WITH_AS(StrikerContact(mesh, mass, ball, test::rod_settings(0.0)),
                         doctest::Contains("cannot strike a periodic specimen"), Error);
    CHECK_NOTHROW(StrikerContact(mesh, mass, {}, test::rod_settings(0.0)));
}

} // namespace cellgrade
