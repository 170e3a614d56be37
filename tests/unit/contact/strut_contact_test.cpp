// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/strut_contact.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <Eigen/Geometry>
#include <doctest/doctest.h>

namespace cellgrade {
namespace {

using test::rod_radius;

// Two rods of 1 mm side by side, far out of touch.
BeamMesh two_rods() {
    BeamMesh mesh;
    mesh.box = Vec3::Constant(20e-3);
    test::add_rod(mesh, Vec3(0, 0, 0), Vec3(1e-3, 0, 0));
    test::add_rod(mesh, Vec3(0, 8e-3, 0), Vec3(1e-3, 8e-3, 0), 0.8 * rod_radius);
    return mesh;
}

double energy_at(StrutContact& contact, const std::vector<Vec3>& x, const Vec3& box) {
    std::vector<NodeLoad> load(x.size());
    const std::vector<NodeRate> rest(x.size());
    contact.add_loads(test::pose_of(x), rest, box, 0.0, load);
    return contact.report().stored_energy();
}

std::vector<Vec3> forces_at(StrutContact& contact, const std::vector<Vec3>& x, const Vec3& box) {
    std::vector<NodeLoad> load(x.size());
    const std::vector<NodeRate> rest(x.size());
    contact.add_loads(test::pose_of(x), rest, box, 0.0, load);
    std::vector<Vec3> f;
    for (const NodeLoad& l : load)
        f.push_back(test::force(l));
    return f;
}

// Poses of the four nodes: any, parallel, end to end, T and stretched ones, in touch.
std::vector<std::vector<Vec3>> touching_poses() {
    test::Random random(17);
    std::vector<std::vector<Vec3>> all;
    const double gap = 1.8 * rod_radius;
    for (int k = 0; k < 200; ++k) {
        const Vec3 u = random.direction(), v = random.direction(), at = random.cube(1e-2);
        const double lu = random.in(0.6e-3, 1.4e-3), lv = random.in(0.6e-3, 1.4e-3);
        const Vec3 n = u.cross(v).normalized();
        const double s = random.in(-0.1, 1.1), t = random.in(-0.1, 1.1);
        const Vec3 q = at - random.in(0.75, 1.0) * gap * n;
        all.push_back(
            {at - s * lu * u, at + (1 - s) * lu * u, q - t * lv * v, q + (1 - t) * lv * v});
    }
    for (int k = 0; k < 60; ++k) {
        const Vec3 u = random.direction(), at = random.cube(1e-2);
        const Vec3 n = u.cross(random.direction()).normalized();
        const double l = 1e-3, sign = k % 2 == 0 ? 1.0 : -1.0, along = random.in(-0.8, 0.8) * l;
        const Vec3 q = at + 0.9 * gap * n + along * u;
        all.push_back({at, at + l * u, q, q + sign * l * u}); // parallel
        const Vec3 e = at + l * u + 0.9 * gap * u;
        all.push_back({at, at + l * u, e, e + l * u});           // end to end
        all.push_back({at, at + l * u, e, e + l * n});           // T
        all.push_back({at, at + 1e-9 * u, q, q + sign * l * u}); // no length
    }
    return all;
}

TEST_CASE("strut contact: loads are minus the gradient of the stored energy") {
    // Central differences with h = 1e-7 r: U is C1 with piecewise smooth slope, so the error is at
    // most h k_t / 2, relative to F = k d >= 0.02 k r that is 2.5e-6.
    const BeamMesh mesh = two_rods();
    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.0));
    const double h = 1e-7 * rod_radius;
    int n_checked = 0;
    for (std::vector<Vec3> x : touching_poses()) {
        const std::vector<Vec3> f = forces_at(contact, x, mesh.box);
        if (contact.report().deepest_share < 0.02)
            continue;
        ++n_checked;
        double scale = 0.0;
        for (const Vec3& force : f)
            scale = std::max(scale, force.norm());
        for (std::size_t i = 0; i < x.size(); ++i)
            for (int axis = 0; axis < 3; ++axis) {
                const double at = x[i][axis];
                x[i][axis] = at + h;
                const double up = energy_at(contact, x, mesh.box);
                x[i][axis] = at - h;
                const double down = energy_at(contact, x, mesh.box);
                x[i][axis] = at;
                CHECK(std::abs((up - down) / (2 * h) + f[i][axis]) < 5e-6 * scale);
            }
    }
    CHECK(n_checked > 300);
}

TEST_CASE("strut contact: box gradient is the slope of the energy with the box lengths") {
    // A rod, and one that leaves through the periodic faces and meets it from the other side.
    BeamMesh mesh;
    mesh.box = Vec3(8e-3, 9e-3, 10e-3);
    mesh.periodic = {true, true, false};
    test::add_rod(mesh, Vec3(0.2e-3, 0.2e-3, 1e-3), Vec3(0.2e-3, 1.2e-3, 1e-3));
    test::add_rod(mesh, Vec3(7.5e-3, 4e-3, 4e-3), Vec3(0.5e-3, 4e-3, 4e-3));
    mesh.elements[1].image_b = {1, 0, 0};
    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.0));
    const std::vector<Vec3> x = {{0.15e-3, 0.2e-3, 1e-3},
                                 {0.2e-3, 1.2e-3, 1.05e-3},
                                 {7.5e-3, 9.55e-3, 1.7e-3},
                                 {0.5e-3, 9.6e-3, 1.75e-3}};
    energy_at(contact, x, mesh.box);
    REQUIRE(contact.report().n_touching == 1);
    const Vec3 gradient = contact.report().box_gradient;
    CHECK(gradient.head<2>().cwiseAbs().minCoeff() > 0.0);
    for (int axis = 0; axis < 2; ++axis) {
        const double h = 1e-10;
        Vec3 step = Vec3::Zero();
        step[axis] = h;
        const double slope =
            (energy_at(contact, x, mesh.box + step) - energy_at(contact, x, mesh.box - step)) /
            (2 * h);
        CHECK(test::rel_err(gradient[axis], slope) < 5e-6);
    }
}

TEST_CASE("strut contact: forces and moments balance, with friction") {
    const BeamMesh mesh = test::random_rods(300, 1.0e9, {}, 23);
    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.4));
    test::Random random(29);
    std::vector<Vec3> x = mesh.nodes;
    for (Vec3& at : x)
        at = 0.8 * at + random.cube(0.1e-3);
    std::vector<NodeRate> rate(x.size());
    for (NodeRate& r : rate)
        r = {.vx = random.in(-5, 5),
             .vy = random.in(-5, 5),
             .vz = random.in(-5, 5),
             .wx = random.in(-9e3, 9e3),
             .wy = random.in(-9e3, 9e3),
             .wz = random.in(-9e3, 9e3)};
    std::vector<NodeLoad> load(x.size());
    for (int n = 0; n < 3; ++n) {
        load.assign(x.size(), NodeLoad{});
        contact.add_loads(test::pose_of(x), rate, mesh.box, 1e-6, load);
    }
    REQUIRE(contact.report().n_touching > 100);
    CHECK(contact.report().friction_dissipation > 0.0);
    CHECK(contact.report().tangential_energy > 0.0);
    Vec3 sum = Vec3::Zero(), turn = Vec3::Zero();
    double size = 0.0, turn_size = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        sum += test::force(load[i]);
        turn += x[i].cross(test::force(load[i])) + test::moment(load[i]);
        size += test::force(load[i]).norm();
        turn_size += x[i].norm() * test::force(load[i]).norm();
    }
    CHECK(sum.norm() < 1e-14 * size);
    CHECK(turn.norm() < 1e-14 * turn_size);
}

TEST_CASE("strut contact: design case keeps the promised stable step") {
    // Two contacts at once on a node, each half way to the cap, its whole weight on that node.
    ContactSettings settings = test::rod_settings(0.0);
    settings.reference_step = 1.5e-5; // the step bound decides
    BeamMesh mesh;
    mesh.box = Vec3::Constant(20e-3);
    for (const double z : {0.0, 5e-3, 10e-3})
        test::add_rod(mesh, Vec3(0, 0, z), Vec3(0, 1e-3, z));
    StrutContact contact(mesh, test::node_masses(mesh), settings);
    CHECK(contact.budget_bound_share() == 1.0);
    const double depth = 0.5 * settings.cap_share * rod_radius;
    // Lever: crossing beyond the first node, so that s is 0 on the middle rod.
    std::vector<Vec3> x = mesh.nodes;
    for (const int side : {-1, 1}) {
        const int rod = side < 0 ? 0 : 2;
        const double reach = 2.0 * rod_radius - depth;
        x[2 * rod] = x[2] + Vec3(-0.5e-3, -0.2e-3, side * reach);
        x[2 * rod + 1] = x[2] + Vec3(0.5e-3, -0.2e-3, side * reach);
    }
    forces_at(contact, x, mesh.box);
    CHECK(contact.report().n_touching == 2);
    const double omega = 2.0 / settings.reference_step;
    const double bound = contact.stable_omega_squared_bound();
    CHECK(bound > 0.0);
    CHECK(2.0 / std::sqrt(omega * omega + bound) >= 0.8 * settings.reference_step);
}

TEST_CASE("strut contact: bound on the squared frequency holds for the numerical stiffness") {
    // Largest eigenvalue of M^-1 K by power iteration on differenced forces, against the bound.
    const BeamMesh mesh = test::random_rods(60, 1.0e9, {}, 31);
    const std::vector<double> mass = test::node_masses(mesh);
    StrutContact contact(mesh, mass, test::rod_settings(0.0));
    std::vector<Vec3> x = mesh.nodes;
    for (Vec3& at : x)
        at *= 0.85;
    const std::vector<Vec3> f0 = forces_at(contact, x, mesh.box);
    const double bound = contact.stable_omega_squared_bound();
    REQUIRE(contact.report().n_touching > 10);
    test::Random random(37);
    std::vector<Vec3> mode(x.size());
    for (Vec3& m : mode)
        m = random.cube(1.0);
    double largest = 0.0;
    for (int n = 0; n < 200; ++n) {
        double norm = 0.0;
        for (const Vec3& m : mode)
            norm += m.squaredNorm();
        norm = std::sqrt(norm);
        std::vector<Vec3> y = x;
        const double h = 1e-9;
        for (std::size_t i = 0; i < x.size(); ++i)
            y[i] += h / norm * mode[i];
        const std::vector<Vec3> f = forces_at(contact, y, mesh.box);
        largest = 0.0;
        for (std::size_t i = 0; i < x.size(); ++i) {
            const Vec3 next = -(f[i] - f0[i]) / h / mass[i];
            largest += next.dot(mode[i]) / norm;
            mode[i] = next;
        }
    }
    CHECK(largest <= bound * (1.0 + 1e-6));
    CHECK(largest > 0.2 * bound); // and is no wild overestimate
}

TEST_CASE("strut contact: deepest penetration and its pair are reported") {
    const BeamMesh mesh = two_rods();
    StrutContact contact(mesh, test::node_masses(mesh), test::rod_settings(0.0));
    std::vector<Vec3> x = mesh.nodes; // crossed at the middle: D is the true distance
    const double depth = 0.05 * rod_radius;
    x[2] = Vec3(0.5e-3, -0.5e-3, 1.8 * rod_radius - depth);
    x[3] = Vec3(0.5e-3, 0.5e-3, 1.8 * rod_radius - depth);
    energy_at(contact, x, mesh.box);
    CHECK(contact.report().n_touching == 1);
    CHECK(test::rel_err(contact.report().deepest_share, 0.05 / 0.8) < 1e-9);
    CHECK(contact.report().deepest == PairKey{0, 1, {}});
    energy_at(contact, mesh.nodes, mesh.box);
    CHECK(contact.report().n_touching == 0);
    CHECK(contact.report().deepest.first == no_index);
    CHECK(contact.report().omega_squared == 0.0);
}

} // namespace
} // namespace cellgrade
