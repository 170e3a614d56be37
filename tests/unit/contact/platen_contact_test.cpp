// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/penalty.hpp"
#include "solver/contact/platen_contact.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <doctest/doctest.h>

#include <omp.h>

#include <cstring>

namespace cellgrade {
namespace {

using test::rod_radius;

// A rod lying along x one radius above the lower platen: nodes 0 and 1.
BeamMesh lying_rod() {
    BeamMesh mesh;
    mesh.box = Vec3(10e-3, 10e-3, 10e-3);
    test::add_rod(mesh, Vec3(4e-3, 5e-3, rod_radius), Vec3(5e-3, 5e-3, rod_radius));
    return mesh;
}

struct Block { // point masses that move together, driven by hand
    BeamMesh mesh = lying_rod();
    std::vector<double> mass = test::node_masses(mesh);
    std::vector<NodePose> pose = test::pose_of(mesh.nodes);
    std::vector<NodeRate> rate = std::vector<NodeRate>(2);
    std::vector<NodeLoad> load = std::vector<NodeLoad>(2);
};

TEST_CASE("platen contact: nothing touches at the start, wherever the nodes lie") {
    BeamMesh mesh;
    mesh.box = Vec3(4e-3, 4e-3, 4e-3);
    test::add_rod(mesh, Vec3(0, 2e-3, 0), Vec3(0.2e-3, 2e-3, 0.9e-3));
    test::add_rod(mesh, Vec3(4e-3, 0, 4e-3), Vec3(3.9e-3, 0.1e-3, 3.1e-3));
    std::vector<RigidPlane> planes = side_walls(mesh, {true, true});
    planes.push_back(lower_platen(mesh));
    planes.push_back(upper_platen(mesh));
    REQUIRE(planes.size() == 6);
    PlatenContact platens(mesh, test::node_masses(mesh), planes, test::rod_settings(0.3));
    std::vector<PlaneMotion> motion;
    for (const RigidPlane& plane : planes)
        motion.push_back({.position = plane.position});
    std::vector<NodeLoad> load(4);
    const std::vector<NodeRate> rest(4);
    platens.add_loads(test::pose_of(mesh.nodes), rest, motion, 1e-6, load);
    for (const PlaneReport& report : platens.report())
        CHECK(report.n_touching == 0);
    for (const NodeLoad& l : load)
        CHECK(test::force(l).norm() == 0.0);
    // Any approach of the upper platen is felt by the node on the face.
    motion[5].position -= 1e-6;
    platens.add_loads(test::pose_of(mesh.nodes), rest, motion, 0.0, load);
    CHECK(platens.report()[5].n_touching == 1);
    CHECK(platens.report()[5].deepest_node == 2);
    CHECK(test::rel_err(platens.report()[5].deepest_share, 1e-6 / rod_radius) < 1e-9);
    CHECK(platens.report()[5].force.z() > 0.0);
    CHECK(load[2].fz < 0.0);
}

TEST_CASE("platen contact: side walls are made along free axes only") {
    BeamMesh mesh = lying_rod();
    mesh.periodic = {true, false, false};
    CHECK(side_walls(mesh, {true, true}).size() == 2);
    CHECK(side_walls(mesh, {true, false}).empty());
}

TEST_CASE("platen contact: force on each plane is minus that on the nodes, and the energy slope") {
    Block block;
    PlatenContact platens(block.mesh, block.mass,
                          {lower_platen(block.mesh), {.axis = 0, .normal = 1, .position = 0.0}},
                          test::rod_settings(0.0));
    block.pose[0].z -= 0.04e-3;
    block.pose[1].z -= 0.09e-3;
    block.pose[1].x = 0.45e-3;
    const std::vector<PlaneMotion> motion = {{.position = 0.0}, {.position = 0.0}};
    platens.add_loads(block.pose, block.rate, motion, 0.0, block.load);
    CHECK(test::rel_err(platens.report()[0].force.z(), -block.load[0].fz - block.load[1].fz) <
          1e-14);
    CHECK(test::rel_err(platens.report()[1].force.x(), -block.load[1].fx) < 1e-14);
    CHECK(block.load[1].fx > 0.0);
    const auto energy = [&](double position) {
        std::vector<NodeLoad> none(2);
        platens.add_loads(block.pose, block.rate,
                          std::vector<PlaneMotion>{{.position = position}, {.position = 0.0}}, 0.0,
                          none);
        return platens.report()[0].normal_energy;
    };
    const double h = 1e-10, force = platens.report()[0].force.z();
    CHECK(test::rel_err(-(energy(h) - energy(-h)) / (2 * h), force) < 1e-6);
}

TEST_CASE("platen contact: block under gravity rests with its weight on the platen") {
    // Reference table E20: reaction = weight within 1 %.
    Block block;
    PlatenContact platens(block.mesh, block.mass, {lower_platen(block.mesh)},
                          test::rod_settings(0.3));
    const double weight = 40.0; // [m/s^2], large so that it settles fast
    const double dt = 1e-6;
    double vz = 0.0;
    for (int n = 0; n < 60000; ++n) {
        block.load.assign(2, NodeLoad{});
        platens.add_loads(block.pose, block.rate, std::vector<PlaneMotion>(1), dt, block.load);
        vz += dt * (block.load[0].fz / block.mass[0] - weight);
        vz *= 1.0 - 2e-3; // numerical brake
        for (int i = 0; i < 2; ++i) {
            block.rate[i].vz = vz;
            block.pose[i].z += dt * vz;
        }
    }
    CHECK(test::rel_err(-platens.report()[0].force.z(), 2.0 * block.mass[0] * weight) < 0.01);
}

TEST_CASE("platen contact: a dragged rod sticks below the cone and slips on it, losing mu N s") {
    // Exact: stick while k_t x < mu N, then tangential force mu N and dissipation mu N s, s the
    // slip.
    Block block;
    const double mu = 0.35;
    PlatenContact platens(block.mesh, block.mass, {lower_platen(block.mesh)},
                          test::rod_settings(mu));
    for (NodePose& pose : block.pose)
        pose.z -= 0.05e-3;
    const double dt = 1e-6, v = 0.8;
    for (NodeRate& rate : block.rate)
        rate.vx = v;
    double lost = 0.0, pulled = 0.0, work = 0.0, last = 0.0;
    bool slipping = false;
    double slip_start = 0.0;
    for (int n = 1; n <= 400; ++n) {
        block.load.assign(2, NodeLoad{});
        platens.add_loads(block.pose, block.rate, std::vector<PlaneMotion>(1), dt, block.load);
        const PlaneReport& report = platens.report()[0];
        const double normal = -report.force.z(), drag = report.force.x();
        pulled += v * dt;
        work += 0.5 * (drag + last) * v * dt;
        last = drag;
        lost += report.friction_dissipation;
        CHECK(drag <= mu * normal * (1.0 + 1e-12));
        if (!slipping && report.friction_dissipation > 0.0) {
            slipping = true;
            slip_start = pulled - v * dt;
            CHECK(drag > 0.99 * mu * normal);
        }
        if (!slipping) {
            CHECK(lost == 0.0);
            CHECK(test::rel_err(report.tangential_energy, work) < 1e-10);
        }
        CHECK(test::rel_err(report.tangential_energy + lost, work) < 1e-10);
    }
    REQUIRE(slipping);
    const double normal = -platens.report()[0].force.z();
    CHECK(test::rel_err(last, mu * normal) < 1e-12);
    // The spring reaches the cone within the first slipping step.
    CHECK(std::abs(lost - mu * normal * (pulled - slip_start)) <= mu * normal * v * dt);
    CHECK(slip_start > 5 * v * dt);
}

TEST_CASE("platen contact: frictionless sliding costs no energy") {
    Block block;
    PlatenContact platens(block.mesh, block.mass, {lower_platen(block.mesh)},
                          test::rod_settings(0.0));
    for (NodePose& pose : block.pose)
        pose.z -= 0.05e-3;
    for (NodeRate& rate : block.rate)
        rate = {.vx = 3.0, .vy = -2.0};
    for (int n = 0; n < 50; ++n) {
        block.load.assign(2, NodeLoad{});
        platens.add_loads(block.pose, block.rate, std::vector<PlaneMotion>(1), 1e-6, block.load);
        CHECK(block.load[0].fx == 0.0);
        CHECK(block.load[0].fy == 0.0);
        CHECK(block.load[0].mx == 0.0);
        CHECK(platens.report()[0].friction_dissipation == 0.0);
        CHECK(platens.report()[0].tangential_energy == 0.0);
    }
}

TEST_CASE("platen contact: a rod that rolls without slipping is not braked") {
    Block block;
    PlatenContact platens(block.mesh, block.mass, {lower_platen(block.mesh)},
                          test::rod_settings(0.5));
    const double depth = 0.05e-3;
    for (NodePose& pose : block.pose)
        pose.z -= depth;
    for (NodeRate& rate : block.rate) // axis x, moving along y: v + w x arm = 0 at the plane
        rate = {.vy = 1.0, .wx = -1.0 / (rod_radius - depth)};
    for (int n = 0; n < 50; ++n) {
        block.load.assign(2, NodeLoad{});
        platens.add_loads(block.pose, block.rate, std::vector<PlaneMotion>(1), 1e-6, block.load);
    }
    CHECK(std::abs(block.load[0].fy) < 1e-9 * block.load[0].fz);
}

TEST_CASE("platen contact: same bits for 1, 2 and 3 threads and after a checkpoint") {
    const BeamMesh mesh = test::random_rods(3000, 4e8, {}, 71);
    const auto run = [&](int threads, int checkpoint_at) {
        omp_set_num_threads(threads);
        const std::vector<RigidPlane> planes = {
            {.axis = 2, .normal = 1, .position = -2e-3},
            {.axis = 2, .normal = -1, .position = mesh.box.z() + 2e-3}};
        PlatenContact platens(mesh, test::node_masses(mesh), planes, test::rod_settings(0.3));
        test::Random random(73);
        std::vector<NodePose> pose = test::pose_of(mesh.nodes);
        std::vector<NodeRate> rate(pose.size());
        for (NodeRate& r : rate)
            r = {.vx = random.in(-9, 9), .vy = random.in(-9, 9), .wx = random.in(-9e3, 9e3)};
        std::vector<NodeLoad> load(pose.size());
        for (int n = 0; n < 6; ++n) {
            const double in = 1.6e-3 + 0.1e-3 * n;
            const std::vector<PlaneMotion> motion = {{.position = in - 1e-3},
                                                     {.position = mesh.box.z() + 1e-3 - in}};
            if (n == checkpoint_at) {
                const std::vector<double> state = platens.save();
                platens =
                    PlatenContact(mesh, test::node_masses(mesh), planes, test::rod_settings(0.3));
                platens.restore(state);
            }
            load.assign(pose.size(), NodeLoad{});
            platens.add_loads(pose, rate, motion, 1e-6, load);
        }
        CHECK(platens.report()[0].n_touching > 50);
        CHECK(platens.report()[0].friction_dissipation > 0.0);
        return std::pair(load, platens.report()[0].force);
    };
    const int before = omp_get_max_threads();
    const auto want = run(1, -1);
    for (const auto& got : {run(2, -1), run(3, -1), run(2, 3)}) {
        CHECK(std::memcmp(got.first.data(), want.first.data(),
                          want.first.size() * sizeof(NodeLoad)) == 0);
        CHECK(got.second == want.second);
    }
    omp_set_num_threads(before);
}

TEST_CASE("platen contact: nodes behind a plane and planes without an axis are refused") {
    const BeamMesh mesh = lying_rod();
    const auto message = [&](RigidPlane plane) {
        try {
            PlatenContact platens(mesh, test::node_masses(mesh), {plane}, test::rod_settings(0.1));
        } catch (const Error& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    CHECK(message({.axis = 2, .normal = 1, .position = 0.0}).empty());
    CHECK(message({.axis = 2, .normal = 1, .position = 1e-3}).find("behind") != std::string::npos);
    CHECK(message({.axis = 3, .normal = 1, .position = 0.0}).find("axis 3") != std::string::npos);
    CHECK(message({.axis = 2, .normal = 0, .position = 0.0}).find("normal 0") != std::string::npos);
}

} // namespace
} // namespace cellgrade
