// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/strut_contact.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <Eigen/Geometry>
#include <doctest/doctest.h>

#include <omp.h>

#include <cstring>

namespace cellgrade {
namespace {

using test::rod_radius;

// Nodes as free balls with spin, carried by the central difference rule; no beam forces.
struct Swarm {
    std::vector<double> mass;
    double inertia = 0.0;
    std::vector<NodePose> pose;
    std::vector<NodeRate> rate;
    std::vector<NodeLoad> load;
    Vec3 box = Vec3::Zero();
    double lost = 0.0;

    explicit Swarm(const BeamMesh& mesh)
        : mass(test::node_masses(mesh)), inertia(0.5 * mass[0] * rod_radius * rod_radius),
          pose(test::pose_of(mesh.nodes)), rate(pose.size()), load(pose.size()), box(mesh.box) {}

    // Loads at t_n, then rates to n + 1/2 and positions to n + 1; returns the energy at t_n.
    double advance(StrutContact& contact, double dt) {
        load.assign(pose.size(), NodeLoad{});
        contact.add_loads(pose, rate, box, dt, load);
        lost += contact.report().friction_dissipation;
        double kinetic = 0.0;
        for (std::size_t i = 0; i < pose.size(); ++i) {
            NodeRate& r = rate[i];
            const Vec3 v(r.vx, r.vy, r.vz), w(r.wx, r.wy, r.wz);
            const Vec3 dv = dt / mass[i] * test::force(load[i]);
            const Vec3 dw = dt / inertia * test::moment(load[i]);
            kinetic += 0.5 * mass[i] * (v + 0.5 * dv).squaredNorm() +
                       0.5 * inertia * (w + 0.5 * dw).squaredNorm();
            r = {.vx = v.x() + dv.x(),
                 .vy = v.y() + dv.y(),
                 .vz = v.z() + dv.z(),
                 .wx = w.x() + dw.x(),
                 .wy = w.y() + dw.y(),
                 .wz = w.z() + dw.z()};
            pose[i].x += dt * r.vx;
            pose[i].y += dt * r.vy;
            pose[i].z += dt * r.vz;
        }
        return kinetic + contact.report().stored_energy() + lost;
    }
};

// Crossed rods 1.1 diameters apart, the upper one falling at `speed`.
Swarm crossed_rods(double speed, double sideways, BeamMesh& mesh) {
    mesh.box = Vec3::Constant(20e-3);
    const double l = 0.5e-3, up = 2.2 * rod_radius;
    test::add_rod(mesh, Vec3(-l, 0, 0), Vec3(l, 0, 0));
    test::add_rod(mesh, Vec3(0, -l, up), Vec3(0, l, up));
    Swarm swarm(mesh);
    for (const int i : {2, 3}) {
        swarm.rate[i].vz = -speed;
        swarm.rate[i].vx = sideways;
    }
    return swarm;
}

TEST_CASE("strut contact: crossed rods bounce with restitution 1 and keep their energy") {
    for (const double speed : {0.5, 3.0, 8.0}) {
        BeamMesh mesh;
        Swarm swarm = crossed_rods(speed, 0.0, mesh);
        StrutContact contact(mesh, swarm.mass, test::rod_settings(0.0));
        const double start = 0.5 * 2.0 * swarm.mass[0] * speed * speed;
        double worst = 0.0, deepest = 0.0;
        for (int n = 0; n < 40000 && swarm.pose[2].z < 2.5 * rod_radius; ++n) {
            worst = std::max(worst, std::abs(swarm.advance(contact, 5e-8) / start - 1.0));
            deepest = std::max(deepest, contact.report().deepest_share);
        }
        REQUIRE(deepest > 0.0);
        CHECK(worst < 1e-3);
        CHECK(deepest < 0.25);
        // Equal masses exchange their velocities.
        CHECK(test::rel_err(swarm.rate[0].vz, -speed) < 1e-3);
        CHECK(std::abs(swarm.rate[2].vz) < 1e-3 * speed);
    }
}

TEST_CASE("strut contact: oblique bounce with friction closes the energy and loses some") {
    BeamMesh mesh;
    Swarm swarm = crossed_rods(2.0, 1.5, mesh);
    swarm.rate[2].wy = 900.0;
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.3));
    double start = 0.0, worst = 0.0;
    for (int n = 0; n < 4000; ++n) {
        const double energy = swarm.advance(contact, 5e-8);
        start = n == 0 ? energy : start;
        worst = std::max(worst, std::abs(energy / start - 1.0));
    }
    CHECK(contact.report().n_touching == 0);
    CHECK(contact.report().tangential_energy == 0.0);
    CHECK(swarm.lost > 0.01 * start);
    CHECK(worst < 1e-3);
}

TEST_CASE("strut contact: rods in steady sliding pull with mu F and lose mu F s") {
    // Upper rod dragged along the lower one's axis at fixed depth; exact by Coulomb's law.
    BeamMesh mesh;
    Swarm swarm = crossed_rods(0.0, 0.0, mesh);
    const double mu = 0.25, v = 0.2, dt = 1e-6;
    StrutContact contact(mesh, swarm.mass, test::rod_settings(mu));
    for (const int i : {2, 3}) {
        swarm.pose[i].z = 1.9 * rod_radius;
        swarm.pose[i].x = -0.1e-3;
        swarm.rate[i].vx = v;
    }
    double lost = 0.0;
    for (int n = 0; n < 800; ++n) {
        swarm.load.assign(4, NodeLoad{});
        contact.add_loads(swarm.pose, swarm.rate, swarm.box, dt, swarm.load);
        for (const int i : {2, 3})
            swarm.pose[i].x += v * dt;
        const double pull = -swarm.load[2].fx - swarm.load[3].fx;
        const double press = swarm.load[2].fz + swarm.load[3].fz;
        CHECK(pull <= mu * press * (1 + 1e-2));
        // The spring is at the cone after mu F / k_t = 0.25 x 0.133 r / 0.2 = 83 um = 417 steps.
        if (n < 430) {
            CHECK((n > 410 || contact.report().friction_dissipation == 0.0));
            continue;
        }
        // The regularised normal leans off the vertical with the place along the rod by
        // w s / (...): below 1 %.
        CHECK(test::rel_err(pull, mu * press) < 0.02);
        lost += contact.report().friction_dissipation;
        CHECK(test::rel_err(contact.report().friction_dissipation, pull * v * dt) < 0.02);
    }
    CHECK(lost > 0.0);
}

TEST_CASE("strut contact: a resting pair sticks below the cone") {
    BeamMesh mesh;
    Swarm swarm = crossed_rods(0.0, 0.0, mesh);
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.5));
    for (const int i : {2, 3}) {
        swarm.pose[i].z = 1.9 * rod_radius;
        swarm.rate[i].vx = 0.05;
    }
    contact.add_loads(swarm.pose, swarm.rate, swarm.box, 0.0, swarm.load);
    double work = 0.0, last = 0.0;
    for (int n = 0; n < 20; ++n) { // 1e-6 m, far below mu F / k_t
        for (const int i : {2, 3})
            swarm.pose[i].x += 0.05 * 1e-6;
        swarm.load.assign(4, NodeLoad{});
        contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load);
        CHECK(contact.report().friction_dissipation == 0.0);
        const Vec3 pull = test::force(swarm.load[0]) + test::force(swarm.load[1]);
        work += 0.5 * (pull.x() + last) * 0.05 * 1e-6;
        last = pull.x();
    }
    CHECK(contact.report().tangential_energy > 0.0);
}

TEST_CASE("strut contact: a rod that rolls on another of other radius is not braked") {
    // The surfaces meet half way through the overlap, (D + r_a - r_b)/2 from the axis of rod a.
    // Rod a spins about its axis, rod b moves with the surface of a there: no slide, no traction.
    BeamMesh mesh;
    mesh.box = Vec3::Constant(20e-3);
    const double l = 0.5e-3, thin = 0.6 * rod_radius, distance = 1.5 * rod_radius;
    test::add_rod(mesh, Vec3(-l, 0, 0), Vec3(l, 0, 0));
    test::add_rod(mesh, Vec3(0, -l, 9e-3), Vec3(0, l, 9e-3), thin);
    Swarm swarm(mesh);
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.5));
    const double spin = 500.0, arm = 0.5 * (distance + rod_radius - thin);
    for (const int i : {0, 1})
        swarm.rate[i].wx = spin;
    for (const int i : {2, 3}) {
        swarm.pose[i].z = distance;
        swarm.rate[i].vy = -spin * arm;
    }
    for (int n = 0; n < 20; ++n) {
        swarm.load.assign(4, NodeLoad{});
        contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load);
    }
    REQUIRE(contact.report().n_touching == 1);
    CHECK(std::abs(swarm.load[2].fy) < 1e-9 * swarm.load[2].fz);
    for (const int i : {2, 3}) // one per cent off is felt
        swarm.rate[i].vy *= 1.01;
    contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load);
    CHECK(swarm.load[2].fy > 1e-6 * swarm.load[2].fz);
}

TEST_CASE("strut contact: the friction of images sees the motion of the box") {
    // Two rods touching through the x faces; the box grows while the nodes stand still, so the
    // contact slides along x and the pull is along x.
    BeamMesh mesh;
    mesh.box = Vec3(9e-3, 9e-3, 9e-3);
    mesh.periodic = {true, false, false};
    test::add_rod(mesh, Vec3(0.1e-3, 0, 0), Vec3(1.1e-3, 0, 0));
    test::add_rod(mesh, Vec3(9.6e-3, -0.5e-3, 3e-3), Vec3(9.6e-3, 0.5e-3, 3e-3));
    Swarm swarm(mesh);
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.5));
    swarm.pose[2].z = swarm.pose[3].z = 1.9 * rod_radius;
    contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load);
    CHECK(contact.report().n_touching == 1);
    CHECK(contact.report().tangential_energy == 0.0);
    const double pull_before = swarm.load[0].fx + swarm.load[1].fx;
    swarm.load.assign(4, NodeLoad{});
    swarm.box.x() += 1e-7; // image of rod 1 moves by -1e-7: it drags rod 0 back
    contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load);
    CHECK(contact.report().tangential_energy > 0.0);
    CHECK(swarm.load[0].fx + swarm.load[1].fx < pull_before);
}

TEST_CASE("strut contact: fast rods do not pass through each other, or the run stops") {
    // At the largest motion that is let through, a crossing of the axes takes 2 r_min / (2 x 0.1
    // r_min) = 10 steps in contact; here at 40 m/s and a step that the driver would take.
    BeamMesh mesh;
    Swarm swarm = crossed_rods(40.0, 0.0, mesh);
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.0));
    double dt = 1e-6, time = 0.0;
    while (time < 60e-6) {
        swarm.advance(contact, dt);
        time += dt;
        const double bound = contact.stable_omega_squared_bound();
        dt = std::min(1e-6, bound > 0.0 ? 0.8 / std::sqrt(bound) : 1e-6);
        REQUIRE(swarm.pose[2].z > swarm.pose[0].z);
    }
    CHECK(contact.report().n_touching == 0); // apart again

    for (NodeRate& rate : swarm.rate)
        rate.vz = 51.0; // 0.102 r in 1e-6 s
    std::string message;
    try {
        contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load);
    } catch (const Error& error) {
        message = error.what();
        CHECK(error.fault() == Fault::Run);
    }
    CHECK(message.find("node 0 moves") != std::string::npos);
    swarm.rate.assign(4, NodeRate{});
    swarm.pose[3].y = std::nan("");
    CHECK_THROWS_AS(contact.add_loads(swarm.pose, swarm.rate, swarm.box, 1e-6, swarm.load), Error);
}

struct Run {
    std::vector<NodeLoad> load;
    std::vector<NodePose> pose;
    ContactReport report;
};

// A squeezed swarm of rods with friction over many steps and rebuilds.
Run squeeze(const BeamMesh& mesh, int threads, int checkpoint_at) {
    omp_set_num_threads(threads);
    Swarm swarm(mesh);
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.3));
    test::Random random(83);
    for (NodeRate& r : swarm.rate)
        r = {.vx = random.in(-8, 8), .vy = random.in(-8, 8), .vz = random.in(-8, 8)};
    for (int n = 0; n < 120; ++n) {
        if (n == checkpoint_at) {
            const ContactState state = contact.save();
            CHECK(!state.springs.empty());
            contact = StrutContact(mesh, swarm.mass, test::rod_settings(0.3));
            contact.restore(state);
        }
        swarm.box.x() *= 1.0 - 1e-5;
        swarm.advance(contact, 4e-7);
    }
    return {swarm.load, swarm.pose, contact.report()};
}

TEST_CASE("strut contact: same bits for 1, 2 and 3 threads and after a checkpoint") {
    const BeamMesh mesh = test::random_rods(1500, 6e8, {true, true, false}, 79);
    const int before = omp_get_max_threads();
    const Run want = squeeze(mesh, 1, -1);
    CHECK(want.report.n_touching > 100);
    CHECK(want.report.n_rebuilds > 1);
    CHECK(want.report.friction_dissipation > 0.0);
    for (const Run& got : {squeeze(mesh, 2, -1), squeeze(mesh, 3, -1), squeeze(mesh, 2, 77)}) {
        CHECK(std::memcmp(got.pose.data(), want.pose.data(), want.pose.size() * sizeof(NodePose)) ==
              0);
        CHECK(std::memcmp(got.load.data(), want.load.data(), want.load.size() * sizeof(NodeLoad)) ==
              0);
        CHECK(got.report.normal_energy == want.report.normal_energy);
        CHECK(got.report.tangential_energy == want.report.tangential_energy);
        CHECK(got.report.friction_dissipation == want.report.friction_dissipation);
        CHECK(got.report.box_gradient == want.report.box_gradient);
        CHECK(got.report.deepest == want.report.deepest);
        CHECK(got.report.n_rebuilds == want.report.n_rebuilds);
    }
    omp_set_num_threads(before);
}

TEST_CASE("strut contact: a checkpoint of another net is refused") {
    BeamMesh mesh;
    const Swarm swarm = crossed_rods(0.0, 0.0, mesh);
    StrutContact contact(mesh, swarm.mass, test::rod_settings(0.3));
    ContactState state = contact.save();
    state.built_x.pop_back();
    CHECK_THROWS_AS(contact.restore(state), Error);
    state = contact.save();
    state.spring_keys = {0, 1, 5, 0, 0};
    state.springs = {0.0, 1e-6, 0.0};
    CHECK_THROWS_AS(contact.restore(state), Error);
}

TEST_CASE("strut contact: bad meshes and masses are refused by name") {
    BeamMesh mesh;
    const Swarm swarm = crossed_rods(0.0, 0.0, mesh);
    const auto message = [&](const BeamMesh& bad, std::vector<double> mass) {
        try {
            StrutContact contact(bad, mass, test::rod_settings(0.3));
        } catch (const Error& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    CHECK(message(mesh, swarm.mass).empty());
    CHECK(message(mesh, {1.0}).find("4 nodes") != std::string::npos);
    CHECK(message(mesh, {1e-6, 0.0, 1e-6, 1e-6}).find("node 1") != std::string::npos);
    BeamMesh bad = mesh;
    bad.elements[1].radius = -1.0;
    CHECK(message(bad, swarm.mass).find("radius of element 1") != std::string::npos);
    bad = mesh;
    bad.elements[1].image_b = {1, 0, 0};
    CHECK(message(bad, swarm.mass).find("not periodic") != std::string::npos);
    bad = mesh;
    bad.nodes[1] = bad.nodes[0];
    CHECK(message(bad, swarm.mass).find("element 0 has length 0") != std::string::npos);
}

} // namespace
} // namespace cellgrade
