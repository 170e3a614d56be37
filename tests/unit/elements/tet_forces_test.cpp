// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_forces.hpp"

#include "solver/elements/tet_mass.hpp"
#include "solver/elements/tet_shape.hpp"
#include "solver/elements/tet_stiffness.hpp"
#include "solver/elements/tet_tiles.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/tet_statics.hpp"
#include "tests/unit/elements/tet_samples.hpp"

#include <Eigen/Eigenvalues>
#include <doctest/doctest.h>

#include <omp.h>

#include <cstring>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

constexpr double eps = 2.22e-16;

std::vector<NodeForce>
forces_at(TetBlock& block, const std::vector<NodePoint>& x, double dt = 0.0) {
    std::vector<NodeForce> slots(block.n_slots());
    REQUIRE(tet_forces(block, x, dt, slots, WithEnergy::Yes) == no_index);
    return slots;
}

/// dE/dx of one component by central differences.
double energy_slope(TetBlock& block, std::vector<NodePoint> x, int node, int axis, double h) {
    component(x[node], axis) += h;
    forces_at(block, x);
    const double up = tet_energies(block).stored;
    component(x[node], axis) -= 2.0 * h;
    forces_at(block, x);
    return (up - tet_energies(block).stored) / (2.0 * h);
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Exact: the scalar oracle. Tolerance: rounding; kappa (v - 1) keeps 16 digits of v, not of v - 1.
TEST_CASE("tet: vector lanes agree with the scalar oracle at any size, law, term and energy") {
    for (const AnyLaw& law : sample_laws())
        for (const Index n :
             {0, 1, lanes_of<Pack> - 1, lanes_of<Pack>, lanes_of<Pack> + 1, 7, 8, 61}) {
            if (n == 0)
                continue;
            const TetMesh mesh = loose_tets(n, 5);
            TetBlock block = n % 2 == 0 ? make_tet_block(mesh, law, sample_terms)
                                        : make_tet_block(mesh, law, sample_terms, sample_damage);
            set_bulk_viscosity(block, 0.06, 1.2, 1100.0);
            TetBlock oracle = block;
            std::vector<NodeForce> got(block.n_slots() + 1, {1.0, 2.0, 3.0}), want = got;
            for (const double share : {0.0, 0.05, 0.03}) {
                const auto x = deformed(mesh, sample_gradient(), share, 6);
                REQUIRE(tet_forces(block, x, 1e-5, got, WithEnergy::Yes) == no_index);
                REQUIRE(tet_forces_scalar(oracle, x, 1e-5, want, WithEnergy::Yes) == no_index);
            }
            CHECK(got.back().z == 3.0); // nothing past the last element
            CHECK(largest_difference(got, want) < 100.0 * eps * 30.0 * largest(want));
            const TetEnergies a = tet_energies(block), b = tet_energies(oracle);
            CHECK(rel_err(a.stored, b.stored) < 1e-12);
            CHECK(rel_err(a.dissipated, b.dissipated) < 1e-12);
            CHECK(a.dissipated > 0.0);
        }
}

TEST_CASE("tet: the same bits for any number of threads") {
    const TetMesh mesh = loose_tets(2003, 7);
    const auto x = deformed(mesh, sample_gradient(), 0.05, 8);
    const int before = omp_get_max_threads();
    std::vector<NodeForce> first;
    for (const int n : {1, 2, 4}) {
        omp_set_num_threads(n);
        TetBlock block = make_tet_block(mesh, sample_laws()[0], sample_terms);
        std::vector<NodeForce> slots(block.n_slots());
        CHECK(tet_forces(block, x, 1e-5, slots, WithEnergy::No) == no_index);
        if (first.empty())
            first = slots;
        CHECK(std::memcmp(first.data(), slots.data(), slots.size() * sizeof(NodeForce)) == 0);
    }
    omp_set_num_threads(before);
}

// Exact      -dE/dx. Tolerance: central differences of step h = 1e-6 of the size, h^2 and eps/h of
//            the volumetric energy, 30 times the force's own.
TEST_CASE("tet: force is minus the gradient of the stored energy, for every law") {
    for (const AnyLaw& law : sample_laws()) {
        const TetMesh mesh = loose_tets(1, 11);
        TetBlock block = make_tet_block(mesh, law, {});
        const auto x = deformed(mesh, sample_gradient(), 0.04, 12);
        const std::vector<NodeForce> f = forces_at(block, x);
        for (int a = 0; a < 10; ++a)
            for (int axis = 0; axis < 3; ++axis) {
                const double slope = energy_slope(block, x, a, axis, 1e-6 * sample_size);
                CHECK(std::abs(slope + vector_of(f[a])[axis]) < 1e-7 * largest(f));
            }
    }
}

// After a jump from rest the relaxed stress is the gradient of the branch energy as well: both are
// (g_inf + sum a_i g_i) times the instantaneous ones, in the limit dt -> 0 of a_i = 1.
TEST_CASE("tet: just after a jump branches store what they carry") {
    const TetMesh mesh = loose_tets(1, 13);
    const auto x = deformed(mesh, sample_gradient(), 0.02, 14);
    for (const AnyLaw& law : sample_laws()) {
        TetBlock elastic = make_tet_block(mesh, law, {});
        TetBlock viscous = make_tet_block(mesh, law, sample_terms);
        const auto f = forces_at(elastic, x), g = forces_at(viscous, x, 1e-12);
        CHECK(largest_difference(f, g) < 1e-7 * largest(f));
        CHECK(rel_err(tet_energies(viscous).stored, tet_energies(elastic).stored) < 1e-7);
    }
}

// Exact      -dE/dx again: below the largest energy of its points an element is elastic.
TEST_CASE("tet: force of a damaged element is minus the gradient of what it stores") {
    for (const AnyLaw& law : sample_laws()) {
        const TetMesh mesh = loose_tets(1, 13);
        TetBlock block = make_tet_block(mesh, law, {}, sample_damage);
        forces_at(block, deformed(mesh, sample_gradient(), 0.04, 14));
        const double reached = tet_energies(block).stored;
        const Mat3 F = Mat3::Identity() + 0.6 * (sample_gradient() - Mat3::Identity());
        const auto x = deformed(mesh, F, 0.02, 14);
        const std::vector<NodeForce> f = forces_at(block, x);
        TetBlock sound = make_tet_block(mesh, law, {});
        CHECK(largest_difference(f, forces_at(sound, x)) > 0.05 * largest(f));
        CHECK(tet_energies(block).stored < 0.9 * reached);
        for (int a = 0; a < 10; ++a)
            for (int axis = 0; axis < 3; ++axis) {
                const double slope = energy_slope(block, x, a, axis, 1e-6 * sample_size);
                CHECK(std::abs(slope + vector_of(f[a])[axis]) < 1e-6 * 30.0 * largest(f));
            }
    }
}

TEST_CASE("tet: no force at rest or in rigid motion; forces and moments balance") {
    for (const AnyLaw& law : sample_laws()) {
        const TetMesh mesh = loose_tets(9, 15);
        TetBlock block = make_tet_block(mesh, law, {});
        const double scale = 6e7 * sample_size * sample_size;
        CHECK(largest(forces_at(block, rest_positions(mesh))) < 100.0 * eps * scale);
        const Mat3 R = Eigen::AngleAxisd(2.0, Vec3(1, 2, 3).normalized()).toRotationMatrix();
        CHECK(largest(forces_at(block, deformed(mesh, R, 0.0, 1))) < 100.0 * eps * scale);
        const auto x = deformed(mesh, sample_gradient(), 0.05, 16);
        const auto f = forces_at(block, x);
        for (Index e = 0; e < 9; ++e) {
            Vec3 force = Vec3::Zero(), moment = Vec3::Zero();
            for (Index i = 10 * e; i < 10 * e + 10; ++i) {
                force += vector_of(f[i]);
                moment += vector_of(x[i]).cross(vector_of(f[i]));
            }
            CHECK(force.norm() < 1e-13 * largest(f));
            CHECK(moment.norm() < 1e-12 * sample_size * largest(f));
        }
    }
}

// Exact      in a uniform F the element is one point: f_a = -V P(F) mean grad N_a, with P of the
//            point law step by step, Prony terms, damage and void included: out to step 3 and back.
//            Source: materials/laws/viscous.
TEST_CASE("tet: a uniform deformation history gives the stress of the point law") {
    const TetMesh mesh = loose_tets(1, 17);
    for (const AnyLaw& any : sample_laws())
        std::visit(
            [&](const auto& law) {
                TetBlock block = make_tet_block(mesh, any, sample_terms, sample_damage);
                const auto point = make_viscous(law, sample_terms, std::optional(sample_damage));
                auto history = typename std::decay_t<decltype(point)>::History{};
                TetBlock unit = make_tet_block(mesh, any, {});
                for (int n = 1; n <= 6; ++n) {
                    const Mat3 F = Mat3::Identity() + 0.2 * n * (n < 4 ? 1.0 : 0.4) *
                                                          (sample_gradient() - Mat3::Identity());
                    const double dt = n % 2 == 0 ? 1e-4 : 3e-4;
                    const auto response = point.advance(F, dt, history);
                    history = response.history;
                    const auto f = forces_at(block, deformed(mesh, F, 0.0, 1), dt);
                    // virtual work: sum f_a (x) X_a = -V P in a uniform field
                    Mat3 work = Mat3::Zero();
                    for (int a = 0; a < 10; ++a)
                        work -= vector_of(f[a]) * mesh.nodes[a].transpose();
                    double volume = 0.0;
                    for (int q = 0; q < 4; ++q)
                        volume += unit.groups[0].weight[q][0];
                    CHECK((work / volume - response.P).norm() < 1e-12 * (response.P.norm() + 6e7));
                }
            },
            any);
}

// Exact      interior nodes of u = G x are in equilibrium at any stretch. Source: Irons, references
//            E1. Tolerance: rounding, kappa (v - 1) again.
TEST_CASE("tet: patch test, large uniform stretch of a distorted mesh has no force inside") {
    TetMesh mesh = box_mesh(3, 3, 3, Vec3(3e-3, 3e-3, 3e-3));
    const auto inside = [](const Vec3& X) {
        return X.minCoeff() > 1e-6 && X.maxCoeff() < 3e-3 - 1e-6;
    };
    std::mt19937 random(3);
    std::uniform_real_distribution<double> part(-1.5e-4, 1.5e-4);
    move_corners(mesh, [&](const Vec3& X) {
        const double x = part(random), y = part(random), z = part(random);
        return inside(X) ? Vec3(X + Vec3(x, y, z)) : X;
    });
    TetTiles tiles = make_tet_tiles(mesh);
    for (const AnyLaw& law : sample_laws()) {
        TetBlock block = make_tet_block(mesh, law, {});
        const auto x = deformed(mesh, sample_gradient(), 0.0, 1);
        const auto slots = forces_at(block, x);
        std::vector<NodeForce> f(mesh.nodes.size());
        REQUIRE(tet_node_forces(block, tiles, x, 0.0, f, WithEnergy::No) == no_index);
        int n_inside = 0;
        for (std::size_t n = 0; n < f.size(); ++n)
            if (inside(mesh.nodes[n])) {
                CHECK(vector_of(f[n]).norm() < 1e-12 * largest(slots));
                ++n_inside;
            }
        CHECK(n_inside > 100);
    }
}

TEST_CASE("tet: the lowest element that fails is told, whatever fails") {
    const TetMesh mesh = loose_tets(29, 19);
    TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
    std::vector<NodeForce> slots(block.n_slots());
    const auto rest = rest_positions(mesh);
    const auto failing = [&](const std::vector<NodePoint>& x) {
        const Index lane = tet_forces(block, x, 0.0, slots, WithEnergy::No);
        CHECK(tet_forces_scalar(block, x, 0.0, slots, WithEnergy::No) == lane);
        return lane;
    };
    CHECK(failing(rest) == no_index);
    auto x = rest;
    for (int a = 0; a < 10; ++a)
        x[10 * 23 + a].x *= -1.0; // inside out
    CHECK(failing(x) == 23);
    x[10 * 17 + 8].y = std::nan("");
    CHECK(failing(x) == 17);
    x[10 * 11].z = HUGE_VAL;
    CHECK(failing(x) == 11);
    for (int a = 0; a < 10; ++a) // past the closed void: J = 0.68 < 0.7
        for (int axis = 0; axis < 3; ++axis)
            component(x[10 * 6 + a], axis) *= std::cbrt(0.68);
    CHECK(failing(x) == 6);
    // a corner pushed in by 0.9 of the height: J = 1 - 0.9 * 1.34 at its point, the volume stays
    const Vec3 across = (vector_of(rest[31]) + vector_of(rest[32]) + vector_of(rest[33])) / 3.0;
    const Vec3 to = vector_of(rest[30]) + 0.9 * (across - vector_of(rest[30]));
    x[30] = {to.x(), to.y(), to.z()};
    CHECK(failing(x) == 3);
}

// Exact      p = (linear + quadratic |dv/dt|) dv/dt at a uniform rate; the dissipated energy is the
//            trapezoid V p/2 dv of the first step from p = 0.
TEST_CASE("tet: bulk viscosity answers to the rate of volume alone and dissipates") {
    const TetMesh mesh = loose_tets(1, 21);
    const double dt = 1e-5;
    TetBlock elastic = make_tet_block(mesh, sample_laws()[0], {});
    for (const double v : {0.999, 1.001}) {
        TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
        set_bulk_viscosity(block, 0.1, 1.5, 1100.0);
        const TetViscosity state = block.viscosity[0];
        const auto x = deformed(mesh, std::cbrt(v) * Mat3::Identity(), 0.0, 1);
        const auto with = forces_at(block, x, dt), without = forces_at(elastic, x);
        const double rate = (v - 1.0) / dt;
        const double p = rate * (state.linear[0] + (rate < 0.0 ? -rate * state.quadratic[0] : 0.0));
        double virial = 0.0, volume = 0.0;
        for (int a = 0; a < 10; ++a)
            virial -= (vector_of(with[a]) - vector_of(without[a])).dot(vector_of(x[a]));
        for (int q = 0; q < 4; ++q)
            volume += block.groups[0].weight[q][0];
        CHECK(rel_err(virial, 3.0 * v * p * volume) < 1e-9); // trace of V P F^T with P F^T = p v I
        CHECK(rel_err(tet_energies(block).dissipated, 0.5 * p * (v - 1.0) * volume) < 1e-9);
    }
    TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
    set_bulk_viscosity(block, 0.1, 1.5, 1100.0);
    Mat3 shear = Mat3::Identity();
    shear(0, 1) = 0.1;
    const auto x = deformed(mesh, shear, 0.0, 1);
    CHECK(largest_difference(forces_at(block, x, dt), forces_at(elastic, x)) <
          1e-10 * largest(forces_at(elastic, x)));
}

// Exact      int N_a^2 / sum int N_b^2 by int L1^a L2^b L3^c L4^d = 6 V a! b! c! d!/(a+b+c+d+3)!:
//            corner (2 L^2 - L)^2 gives V/70, edge (4 L L')^2 gives 8 V/105... each times 6 V.
TEST_CASE("tet: lumped mass is the scaled diagonal, positive, whole, and copies carry none") {
    const auto integral = [](int a, int b) { // of L1^a L2^b over 6 V
        return std::tgamma(a + 1.0) * std::tgamma(b + 1.0) / std::tgamma(a + b + 4.0);
    };
    const double corner = 4.0 * integral(4, 0) - 4.0 * integral(3, 0) + integral(2, 0);
    const double edge = 16.0 * integral(2, 2);
    const double sum = 4.0 * corner + 6.0 * edge;
    CHECK(rel_err(tet::corner_share, corner / sum) < 1e-13);
    CHECK(rel_err(tet::edge_share, edge / sum) < 1e-13);

    TetMesh mesh = box_mesh(2, 2, 2, Vec3(2e-3, 3e-3, 1e-3));
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        for (std::size_t m = 0; m < mesh.nodes.size(); ++m)
            if ((mesh.nodes[n] - mesh.nodes[m] - Vec3(2e-3, 0, 0)).norm() < 1e-9)
                mesh.copies.push_back({static_cast<Index>(n), static_cast<Index>(m), {1, 0, 0}});
    CHECK(mesh.copies.size() == 25);
    const TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
    const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
    CHECK(rel_err(mass.total, 1100.0 * 6e-9) < 1e-13);
    for (const NodeCopy& copy : mesh.copies)
        CHECK(mass.node[copy.node] == 0.0);
    CHECK(std::count_if(mass.node.begin(), mass.node.end(), [](double m) { return m <= 0.0; }) ==
          25);
}

TEST_CASE("tet: forces of periodic copies go to their originals") {
    TetMesh mesh = box_mesh(2, 1, 1, Vec3(2e-3, 1e-3, 1e-3));
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        for (std::size_t m = 0; m < mesh.nodes.size(); ++m)
            if ((mesh.nodes[n] - mesh.nodes[m] - Vec3(2e-3, 0, 0)).norm() < 1e-9)
                mesh.copies.push_back({static_cast<Index>(n), static_cast<Index>(m), {1, 0, 0}});
    TetBlock block = make_tet_block(mesh, sample_laws()[1], {});
    auto x = deformed(mesh, Mat3::Identity(), 0.03, 23);
    const Vec3 box(2.1e-3, 1e-3, 1e-3);
    place_copies(mesh.copies, box, x);
    for (const NodeCopy& copy : mesh.copies)
        CHECK((vector_of(x[copy.node]) - vector_of(x[copy.original]) - Vec3(2.1e-3, 0, 0)).norm() <
              1e-18);
    TetTiles tiles = make_tet_tiles(mesh);
    std::vector<NodeForce> f(mesh.nodes.size());
    REQUIRE(tet_node_forces(block, tiles, x, 0.0, f, WithEnergy::No) == no_index);
    Vec3 crossing = Vec3::Zero();
    for (const NodeCopy& copy : mesh.copies)
        crossing.x() += f[copy.node].x;
    CHECK(fold_copies(mesh.copies, f) == crossing);
    Vec3 sum = Vec3::Zero();
    for (const NodeForce& each : f)
        sum += vector_of(each);
    CHECK(sum.norm() < 1e-12 * largest(f));
    for (const NodeCopy& copy : mesh.copies)
        CHECK(vector_of(f[copy.node]).norm() == 0.0);
}

// Exact      the derivative of the forces at rest. Tolerance: central differences.
TEST_CASE("tet: stiffness is the tangent at rest and lets six rigid motions free") {
    for (const AnyLaw& law : sample_laws()) {
        const TetMesh mesh = loose_tets(2, 25);
        TetBlock block = make_tet_block(mesh, law, {});
        const auto K = tangents(block, rest_positions(mesh), 1e-6 * sample_size);
        for (Index e = 0; e < 2; ++e) {
            const Mat30 exact = tet_stiffness(block, e);
            CHECK((exact - exact.transpose()).norm() < 1e-13 * exact.norm());
            // a void closes with a kink in the third derivative: 1e-6/0.3 of kappa
            CHECK((K[e] - exact).norm() < 1e-5 * exact.norm());
            const auto values = Eigen::SelfAdjointEigenSolver<Mat30>(exact).eigenvalues();
            CHECK(std::abs(values[5]) < 1e-12 * values[29]);
            CHECK(values[6] > 1e-5 * values[29]);
        }
    }
}

TEST_CASE("tet: wrong input is told in one line") {
    TetMesh mesh = loose_tets(3, 27);
    for (int a = 0; a < 10; ++a)
        mesh.nodes[10 + a].x() *= -1.0;
    const auto message = [&] {
        return message_of([&] { (void)make_tet_block(mesh, sample_laws()[0], {}); });
    };
    CHECK(message() == "tetrahedron 1 is turned inside out at rest");
    mesh.tets[1][4] = 30;
    CHECK(message() == "tetrahedron 1: node 30 is outside 0 .. 29");
}
