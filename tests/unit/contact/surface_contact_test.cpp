// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/mesh_solid.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/contact/surface_contact.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/contact/surface_meshes.hpp"
#include "tests/unit/meshes/sample_solids.hpp"

#include <Eigen/Eigenvalues>
#include <doctest/doctest.h>

#include <cstring>
#include <string>

namespace cellgrade {
namespace {

using test::element;

struct Loaded {
    std::vector<NodeLoad> load;
    ContactReport report;
};

// Loads at rest at given positions.
Loaded loads_at(SurfaceContact& contact, const std::vector<Vec3>& x, const Vec3& box) {
    Loaded out;
    out.load.resize(x.size());
    contact.add_loads(test::pose_of(x), std::vector<NodeRate>(x.size()), box, 0.0, out.load);
    out.report = contact.report();
    return out;
}

// Two crumpled sheets far apart, and the place where the upper one lies in the layer of the lower.
struct Crumpled {
    TetMesh mesh;
    std::vector<Vec3> near;

    explicit Crumpled(unsigned seed) {
        mesh.box = Vec3::Constant(10.0 * element);
        test::add_flat(mesh, 3, element, Vec3::Zero(), 0.0);
        const Index upper =
            test::add_flat(mesh, 3, 0.9 * element, Vec3(0.02e-3, 0.01e-3, 0.1e-3), 0.4);
        near = mesh.nodes;
        for (std::size_t i = upper; i < near.size(); ++i)
            near[i].z() -= 0.1e-3 - 4e-6;
        test::shake(near, 0.9e-6, seed); // layers are 7.5e-6 and more
    }
};

TEST_CASE("surface contact: forces are minus the derivative of the stored energy") {
    for (const unsigned seed : {1U, 2U, 3U}) {
        const Crumpled sheets(seed);
        SurfaceContact contact(sheets.mesh, test::sheet_masses(sheets.mesh),
                               test::wall_settings(0.0));
        const Loaded at = loads_at(contact, sheets.near, sheets.mesh.box);
        REQUIRE(at.report.n_touching > 200);
        double largest = 0.0;
        for (const NodeLoad& load : at.load)
            largest = std::max(largest, test::force(load).norm());
        // Central differences: error (h / layer)^2, or h / layer where a second derivative jumps.
        const double h = 1e-11;
        double worst = 0.0;
        for (std::size_t i = 0; i < sheets.near.size(); ++i)
            for (int axis = 0; axis < 3; ++axis) {
                std::vector<Vec3> x = sheets.near;
                x[i][axis] += h;
                const double up = loads_at(contact, x, sheets.mesh.box).report.normal_energy;
                x[i][axis] -= 2 * h;
                const double down = loads_at(contact, x, sheets.mesh.box).report.normal_energy;
                const double want = -(up - down) / (2 * h);
                worst = std::max(worst, std::abs(test::force(at.load[i])[axis] - want));
            }
        CHECK(worst < 1e-5 * largest);
    }
}

TEST_CASE("surface contact: the frequency bound is above the largest eigenvalue of the stiffness") {
    // K by central differences of the forces, scaled by the masses; eigenvalues by Eigen. What the
    // row sums leave out, turning of the normals and edge weights, must not exceed their slack.
    for (const unsigned seed : {11U, 12U, 13U, 14U}) {
        const Crumpled sheets(seed);
        const std::vector<double> mass = test::sheet_masses(sheets.mesh);
        SurfaceContact contact(sheets.mesh, mass, test::wall_settings(0.0));
        (void)loads_at(contact, sheets.near, sheets.mesh.box);
        const double bound = contact.stable_omega_squared_bound();
        const auto n = static_cast<Index>(3 * sheets.near.size());
        Eigen::MatrixXd scaled(n, n);
        const double h = 1e-11;
        for (Index c = 0; c < n; ++c) {
            std::vector<Vec3> x = sheets.near;
            x[c / 3][c % 3] += h;
            const Loaded up = loads_at(contact, x, sheets.mesh.box);
            x[c / 3][c % 3] -= 2 * h;
            const Loaded down = loads_at(contact, x, sheets.mesh.box);
            for (Index r = 0; r < n; ++r)
                scaled(r, c) =
                    -(test::force(up.load[r / 3])[r % 3] - test::force(down.load[r / 3])[r % 3]) /
                    (2 * h * mass[0]);
        }
        const Eigen::MatrixXd symmetric = 0.5 * (scaled + scaled.transpose());
        const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(symmetric,
                                                                    Eigen::EigenvaluesOnly);
        REQUIRE(solver.info() == Eigen::Success);
        const double largest = solver.eigenvalues()[n - 1];
        CHECK(largest < bound);
        CHECK(largest > 0.2 * bound); // not a bound for its own sake
    }
}

TEST_CASE("surface contact: flat contact at half depth costs less than the stated share of step") {
    // Light nodes, so the step bound decides. This is the design case of contact_layer().
    const ContactSettings settings = test::wall_settings(0.0);
    for (int turn = 1; turn <= 12; ++turn) {
        TetMesh mesh;
        mesh.box = Vec3::Constant(100 * element);
        test::add_flat(mesh, 12, element, Vec3::Zero(), 0.0);
        const Index upper = test::add_flat(
            mesh, 6, element, Vec3(0.13 * turn * element, 0.07 * turn * element, 0.5 * element),
            0.29 * turn);
        SurfaceContact contact(mesh, std::vector<double>(mesh.nodes.size(), 1e-11), settings);
        CHECK(contact.budget_bound_share() == 1.0);
        std::vector<Vec3> x = mesh.nodes;
        for (std::size_t i = upper; i < x.size(); ++i)
            x[i].z() = 0.5 * settings.layer_share * element * (4.0 + 2.0 * std::sqrt(2.0)) / 12.0;
        const Loaded at = loads_at(contact, x, mesh.box);
        CHECK(at.report.omega_squared > 0.25 * settings.omega_squared_room());
        CHECK(at.report.omega_squared < settings.omega_squared_room());
    }
}

TEST_CASE("surface contact: forces and moments of all pairs balance, with friction too") {
    const Crumpled sheets(4);
    SurfaceContact contact(sheets.mesh, test::sheet_masses(sheets.mesh), test::wall_settings(0.5));
    test::Random random(5);
    std::vector<NodeRate> rate(sheets.near.size());
    for (NodeRate& r : rate)
        r = {.vx = random.in(-1, 1), .vy = random.in(-1, 1), .vz = random.in(-1, 1)};
    std::vector<NodeLoad> load(rate.size());
    for (int n = 0; n < 3; ++n) {
        load.assign(rate.size(), NodeLoad{});
        contact.add_loads(test::pose_of(sheets.near), rate, sheets.mesh.box, 2e-7, load);
    }
    CHECK(contact.report().tangential_energy > 0.0);
    Vec3 force = Vec3::Zero(), moment = Vec3::Zero();
    double size = 0.0;
    for (std::size_t i = 0; i < load.size(); ++i) {
        force += test::force(load[i]);
        moment += sheets.near[i].cross(test::force(load[i]));
        size += test::force(load[i]).norm();
    }
    CHECK(force.norm() < 1e-12 * size);
    CHECK(moment.norm() < 1e-12 * size * 3 * element);
}

TEST_CASE("surface contact: nothing acts at rest on a gyroid wall, a ball and crossed struts") {
    // Two round struts that cross at 25 degrees: sharp creases at the joint.
    const auto crossed = [](const Vec3& p) {
        const auto off_axis = [&](double angle) {
            const Vec3 along(std::cos(angle), 0.0, std::sin(angle)), x = p - Vec3::Constant(0.5);
            return (x - along.dot(x) * along).norm();
        };
        return std::min(off_axis(0.22), off_axis(-0.22)) - 0.16;
    };
    const std::array solids{test::gyroid_wall(0.5), test::ball(0.3),
                            test::solid_of(Vec3::Constant(1.0), crossed)};
    for (const ImplicitSolid& solid : solids) {
        const TetMesh mesh = mesh_solid(solid, {.element_size = 1.0 / 12.0});
        SurfaceContact contact(mesh, std::vector<double>(mesh.nodes.size(), 1.0),
                               test::wall_settings(0.3));
        const Loaded at = loads_at(contact, mesh.nodes, mesh.box);
        CHECK(at.report.n_touching == 0);
        CHECK(at.report.omega_squared == 0.0);
        for (const NodeLoad& load : at.load)
            CHECK(test::force(load).norm() == 0.0);
        // No crowd of candidates either: the list is for walls that come near each other.
        CHECK(at.report.n_candidates < 10 * contact.surface().n_vertices());
    }
}

TEST_CASE("surface contact: flat sheets press like a film of the polymer") {
    // p = M depth / layer / (1 - u^2), u = depth / layer, M confined modulus, over the area that
    // both share. Pairs share it by a mean over directions of edges (contact_layer.hpp), so the sum
    // scatters with the place of the meshes on each other; the mean over places is within a few per
    // cent.
    const double size = element;
    double sum = 0.0;
    int n = 0;
    for (int turn = 1; turn <= 12; ++turn) {
        TetMesh mesh;
        mesh.box = Vec3::Constant(100 * size);
        test::add_flat(mesh, 12, size, Vec3::Zero(), 0.0);
        const Index upper = test::add_flat(
            mesh, 6, size, Vec3(0.13 * turn * size, 0.07 * turn * size, 0.5 * size), 0.29 * turn);
        ContactSettings settings = test::wall_settings(0.0);
        SurfaceContact contact(mesh, std::vector<double>(mesh.nodes.size(), 1e-3), settings);
        CHECK(contact.budget_bound_share() == 0.0); // heavy nodes: the film decides
        const double mean_edge = size * (4.0 + 2.0 * std::sqrt(2.0)) / 12.0;
        const double layer = settings.layer_share * mean_edge;
        std::vector<Vec3> x = mesh.nodes;
        for (std::size_t i = upper; i < x.size(); ++i)
            x[i].z() = 0.5 * layer;
        const Loaded at = loads_at(contact, x, mesh.box);
        double force = 0.0;
        for (std::size_t i = upper; i < x.size(); ++i)
            force += at.load[i].fz;
        const double nu = settings.poisson;
        const double M = settings.modulus * (1 - nu) / ((1 + nu) * (1 - 2 * nu));
        const double want = M * 36 * size * size * 0.5 / 0.75;
        CHECK(force > 0.6 * want);
        CHECK(force < 1.4 * want);
        sum += force / want;
        ++n;
    }
    CHECK(std::abs(sum / n - 1.0) < 0.15);
}

TEST_CASE("surface contact: a layer is never thicker than nine tenths of the distance at rest") {
    TetMesh mesh;
    mesh.box = Vec3::Constant(10 * element);
    test::add_flat(mesh, 2, element, Vec3::Zero(), 0.0);
    const double gap = 3e-6;
    const Index upper = test::add_flat(mesh, 2, element, Vec3(0, 0, gap), 0.3);
    SurfaceContact contact(mesh, test::sheet_masses(mesh), test::wall_settings(0.0));
    CHECK(loads_at(contact, mesh.nodes, mesh.box).report.n_touching == 0);
    std::vector<Vec3> x = mesh.nodes;
    const auto at_gap = [&](double share) {
        for (std::size_t i = upper; i < x.size(); ++i)
            x[i].z() = share * gap;
        return loads_at(contact, x, mesh.box).report;
    };
    CHECK(at_gap(0.901).n_touching == 0);
    CHECK(at_gap(0.899).n_touching > 0);
    CHECK_THROWS_AS(at_gap(0.9 * 0.019), Error); // 98 % of the layer used up
}

// Neighbours at the tip are nearer than any layer could resolve; those behind it hold the sides
// apart, and so do vertices on faces where sheets all but lie on each other.
TEST_CASE("surface contact: a sharp notch closes from its tip, and its sides do not pass") {
    const auto folded = [](double slope) { // at u = 1/2, there and back
        TetMesh mesh;
        mesh.box = Vec3::Constant(20 * element);
        test::add_sheet(mesh, 8, 4, [slope](double u, double v) {
            const double x = 8 * element * std::abs(u - 0.5);
            return Vec3(x, 4 * element * v, u > 0.5 ? slope * x : 0.0);
        });
        return mesh;
    };
    const TetMesh notch = folded(0.03);
    SurfaceContact contact(notch, test::sheet_masses(notch), test::wall_settings(0.3));
    CHECK(loads_at(contact, notch.nodes, notch.box).report.n_touching == 0);
    const Loaded closed = loads_at(contact, folded(0.003).nodes, notch.box);
    CHECK(closed.report.n_touching > 0);
    CHECK_THROWS_AS(loads_at(contact, folded(0.0003).nodes, notch.box), Error); // used up

    TetMesh sheets;
    sheets.box = Vec3::Constant(10 * element);
    test::add_flat(sheets, 2, element, Vec3::Zero(), 0.0);
    const double gap = 0.1e-6; // a hundredth of a layer
    const Index upper = test::add_flat(sheets, 2, element, Vec3(0, 0, gap), 0.3);
    SurfaceContact pressed(sheets, test::sheet_masses(sheets), test::wall_settings(0.0));
    std::vector<Vec3> x = sheets.nodes;
    for (std::size_t i = upper; i < x.size(); ++i)
        x[i].z() = 0.5 * gap;
    CHECK(loads_at(pressed, x, sheets.box).report.n_touching > 0);
}

// One pair of sheets whole in the box, or the same moved so that they meet across its sides.
struct Imaged {
    TetMesh mesh;
    std::vector<Vec3> near;

    explicit Imaged(const Vec3& by) {
        const Crumpled sheets(6);
        mesh = sheets.mesh;
        mesh.periodic = {true, true, true};
        near = sheets.near;
        const std::size_t half = near.size() / 2 - 3; // lower sheet: 49 of 98 nodes
        for (std::size_t i = 0; i < near.size(); ++i) {
            const Vec3 shift = i < half + 3 ? Vec3::Zero() : by;
            mesh.nodes[i] += shift;
            near[i] += shift;
        }
    }
};

TEST_CASE("surface contact: a pair across the sides of the box feels what it feels inside") {
    const Vec3 box = Vec3::Constant(10.0 * element);
    const Imaged inside(Vec3::Zero()), across(Vec3(box.x(), -box.y(), box.z()));
    SurfaceContact a(inside.mesh, test::sheet_masses(inside.mesh), test::wall_settings(0.0));
    SurfaceContact b(across.mesh, test::sheet_masses(across.mesh), test::wall_settings(0.0));
    const Loaded want = loads_at(a, inside.near, box), got = loads_at(b, across.near, box);
    REQUIRE(want.report.n_touching > 200);
    CHECK(got.report.n_touching == want.report.n_touching);
    CHECK(test::rel_err(got.report.normal_energy, want.report.normal_energy) < 1e-8);
    double size = 0.0, worst = 0.0;
    for (std::size_t i = 0; i < want.load.size(); ++i) {
        size = std::max(size, test::force(want.load[i]).norm());
        worst = std::max(worst, (test::force(got.load[i]) - test::force(want.load[i])).norm());
    }
    CHECK(worst < 1e-8 * size); // rounding of positions: 1e-16 x 1e-3 m / layer, amplified
}

TEST_CASE("surface contact: the box gradient is the derivative of the energy by the box") {
    const Vec3 box = Vec3::Constant(10.0 * element);
    const Imaged across(Vec3(box.x(), -box.y(), box.z()));
    SurfaceContact contact(across.mesh, test::sheet_masses(across.mesh), test::wall_settings(0.0));
    const Vec3 got = loads_at(contact, across.near, box).report.box_gradient;
    for (int axis = 0; axis < 3; ++axis) {
        const Vec3 step = 1e-11 * Vec3::Unit(axis);
        const double up = loads_at(contact, across.near, box + step).report.normal_energy;
        const double down = loads_at(contact, across.near, box - step).report.normal_energy;
        CHECK(std::abs(got[axis] - (up - down) / 2e-11) < 1e-5 * got.norm());
    }
}

TEST_CASE("surface contact: copies are neither read nor loaded, their share goes to originals") {
    // A sheet that closes on itself along x: the last column copies the first.
    TetMesh mesh;
    mesh.box = Vec3(3 * element, 10 * element, 10 * element);
    mesh.periodic = {true, false, false};
    test::add_sheet(mesh, 3, 2, [&](double u, double v) {
        return Vec3(u * 3 * element, v * 2 * element, 0.0);
    });
    for (Index j = 0; j < 5; ++j)
        mesh.copies.push_back({.node = 7 * j + 6, .original = 7 * j, .image = Vec3i(1, 0, 0)});
    const Index small = test::add_flat(mesh, 1, element, Vec3(0.0, element, 0.5 * element), 0.3);
    std::vector<double> mass = test::sheet_masses(mesh);
    for (const NodeCopy& copy : mesh.copies)
        mass[copy.node] = 0.0;
    SurfaceContact contact(mesh, mass, test::wall_settings(0.0));
    std::vector<Vec3> x = mesh.nodes;
    for (std::size_t i = small; i < x.size(); ++i)
        x[i].z() = 4e-6;
    for (const NodeCopy& copy : mesh.copies)
        x[copy.node] = Vec3::Constant(std::nan(""));
    const Loaded at = loads_at(contact, x, mesh.box);
    Vec3 sum = Vec3::Zero();
    for (const NodeLoad& load : at.load)
        sum += test::force(load);
    double lifted = 0.0, first_column = 0.0;
    for (std::size_t i = small; i < x.size(); ++i)
        lifted += at.load[i].fz;
    for (const NodeCopy& copy : mesh.copies) {
        CHECK(test::force(at.load[copy.node]).norm() == 0.0);
        first_column -= at.load[copy.original].fz;
    }
    CHECK(sum.norm() < 1e-12 * lifted);
    // The small sheet lies across the seam: the first column carries from both of its sides.
    CHECK(first_column > 0.2 * lifted);
    CHECK(std::abs(at.report.box_gradient.z()) == 0.0);
}

TEST_CASE("surface contact: bad masses, positions and moves are refused with their place") {
    TetMesh mesh;
    mesh.box = Vec3::Constant(10 * element);
    test::add_flat(mesh, 2, element, Vec3::Zero(), 0.0);
    std::vector<double> mass = test::sheet_masses(mesh);
    const auto message = [](auto&& f) {
        try {
            f();
        } catch (const Error& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    const ContactSettings settings = test::wall_settings(0.0);
    mass[7] = 0.0;
    CHECK(message([&] { SurfaceContact(mesh, mass, settings); }).find("mass of node 7") !=
          std::string::npos);
    mass[7] = mass[6];
    ContactSettings wrong = settings;
    wrong.layer_share = 0.3;
    CHECK(message([&] { SurfaceContact(mesh, mass, wrong); }).find("layer share is 0.3") !=
          std::string::npos);
    wrong = settings;
    wrong.layer_margin_share = 0.1; // less than what two moves eat up
    CHECK(message([&] { SurfaceContact(mesh, mass, wrong); }).find("layer margin share") !=
          std::string::npos);
    SurfaceContact contact(mesh, mass, settings);
    std::vector<NodePose> pose = test::pose_of(mesh.nodes);
    std::vector<NodeRate> rate(pose.size());
    std::vector<NodeLoad> load(pose.size());
    const auto call = [&] { contact.add_loads(pose, rate, mesh.box, 1e-6, load); };
    CHECK(message(call).empty());
    rate[3].vy = 1.01 * contact.most_move() / 1e-6 * 1.5; // its own layer is up to 1.5 times that
    CHECK(message(call).find("node 3 moves") != std::string::npos);
    rate[3].vy = 0.0;
    pose[5].z = std::nan("");
    CHECK(message(call).find("node 5 is not finite") != std::string::npos);
}

} // namespace
} // namespace cellgrade
