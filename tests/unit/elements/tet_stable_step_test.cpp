// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_stable_step.hpp"

#include "solver/elements/tet_shape.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/tet_statics.hpp"
#include "tests/unit/elements/tet_samples.hpp"

#include <Eigen/Eigenvalues>
#include <doctest/doctest.h>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

/// Largest frequency of each element by the eigenvalues of its difference tangent.
std::vector<double>
exact_omegas(TetBlock& block, const TetMass& mass, const std::vector<NodePoint>& x) {
    const std::vector<Mat30> K = tangents(block, x, 1e-6 * sample_size);
    std::vector<double> omega;
    for (Index e = 0; e < block.n_elements; ++e) {
        Eigen::Matrix<double, 30, 1> per_root;
        for (int i = 0; i < 30; ++i)
            per_root[i] = 1.0 / std::sqrt(tet::mass_share(i / 3) * mass.element[e]);
        const Mat30 scaled =
            per_root.asDiagonal() * (0.5 * (K[e] + K[e].transpose())) * per_root.asDiagonal();
        const Eigen::SelfAdjointEigenSolver<Mat30> solver(scaled, Eigen::EigenvaluesOnly);
        omega.push_back(std::sqrt(solver.eigenvalues()[29]));
    }
    return omega;
}

Mat3 random_gradient(std::mt19937& random, double share) {
    std::uniform_real_distribution<double> part(-share, share);
    Mat3 F = Mat3::Identity();
    for (int i = 0; i < 9; ++i)
        F(i / 3, i % 3) += part(random);
    return F * std::cbrt(1.0 / F.determinant()); // near no change of volume, as a rubber
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Exact      eigenvalues of the difference tangent, element by element. The bound adds the largest
//            volumetric and the largest shear frequency; the header states what that costs:
//            a factor of 1.1 at rest for kappa/mu = 30, 1.6 deformed by up to 0.4. A law that does
//            not split has its bulk modulus in the second part: at rest a factor of at most
//            sqrt((kappa + 4/3 mu)/mu) = 1.9, 1.5 stated.
TEST_CASE("tet: the step bound stays above every element's frequency and near it") {
    std::mt19937 random(31);
    for (const AnyLaw& law : sample_laws()) {
        double least = HUGE_VAL, at_rest = 0.0, most = 0.0;
        for (int n = 0; n < 40; ++n) {
            const TetMesh mesh = loose_tets(8, static_cast<unsigned>(n));
            TetBlock block = make_tet_block(mesh, law, {});
            const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
            const double share = n < 5 ? 0.0 : 0.01 * n;
            const auto x = deformed(mesh, random_gradient(random, share), 0.1 * share, 100u + n);
            std::vector<double> bound(block.n_elements);
            tet_element_omegas(block, mass, x, bound);
            const std::vector<double> exact = exact_omegas(block, mass, x);
            for (std::size_t e = 0; e < exact.size(); ++e) {
                least = std::min(least, bound[e] / exact[e]);
                (n < 5 ? at_rest : most) = std::max(n < 5 ? at_rest : most, bound[e] / exact[e]);
            }
        }
        INFO("least ", least, " at rest ", at_rest, " most ", most);
        CHECK(least > 1.0);
        const bool splits =
            std::visit([]<class Law>(const Law&) { return !volume_in_shape<Law>; }, law);
        CHECK(at_rest < (splits ? 1.1 : 1.5));
        CHECK(most < (splits ? 1.6 : 2.0));
    }
}

// Exact      as above; a point that begins to unload is stiffer by P^2 d(eta)/dW, which differences
//            of the force about a largest energy see on the unloading side only: the block is
//            loaded a little further first, by 1e-3 of the strain, so that all of the difference
//            unloads.
TEST_CASE("tet: the step bound holds where damaged points unload") {
    std::mt19937 random(37);
    for (const AnyLaw& law : sample_laws()) {
        double least = HUGE_VAL, stiffest = 0.0;
        for (int n = 1; n < 20; ++n) {
            const TetMesh mesh = loose_tets(8, static_cast<unsigned>(n));
            TetBlock block = make_tet_block(mesh, law, {}, sample_damage);
            const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
            const Mat3 F = random_gradient(random, 0.02 * n);
            const auto x = deformed(mesh, F, 0.0, 1);
            const Mat3 beyond = Mat3::Identity() + 1.001 * (F - Mat3::Identity());
            std::vector<NodeForce> slots(block.n_slots());
            REQUIRE(tet_forces(block, deformed(mesh, beyond, 0.0, 1), 0.0, slots, WithEnergy::No) ==
                    no_index);
            std::vector<double> bound(block.n_elements);
            tet_element_omegas(block, mass, x, bound);
            const std::vector<double> exact = exact_omegas(block, mass, x);
            TetBlock sound = make_tet_block(mesh, law, {});
            const std::vector<double> without = exact_omegas(sound, mass, x);
            for (std::size_t e = 0; e < exact.size(); ++e) {
                least = std::min(least, bound[e] / exact[e]);
                stiffest = std::max(stiffest, exact[e] / without[e]);
            }
        }
        INFO("least ", least, " stiffest ", stiffest);
        CHECK(least > 1.0);
        CHECK(stiffest > 1.0);
    }
}

TEST_CASE("tet: a broken element has no bound") {
    const TetMesh mesh = loose_tets(3, 33);
    const TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
    const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
    auto x = rest_positions(mesh);
    std::swap(x[10], x[11]);
    CHECK(std::isnan(tet_stable_omega(block, mass, x)));
}

// Exact      leapfrog grows without end past 2/omega. One free element, so that the element's
//            frequency is that of the body: steps of 0.99 and 1.01 of 2/omega, and of 2/bound.
TEST_CASE("tet: leapfrog holds below the exact step and the bound's, and bursts above") {
    const TetMesh mesh = loose_tets(1, 35);
    TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
    const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
    const double exact = exact_omegas(block, mass, rest_positions(mesh))[0];
    const double bound = tet_stable_omega(block, mass, rest_positions(mesh));
    const auto growth = [&](double dt) {
        auto x = deformed(mesh, Mat3::Identity(), 1e-9, 36);
        std::vector<NodePoint> v(10);
        std::vector<NodeForce> f(10);
        double most = 0.0;
        for (int n = 0; n < 1500; ++n) {
            if (tet_forces(block, x, dt, f, WithEnergy::No) != no_index)
                return HUGE_VAL;
            for (int a = 0; a < 10; ++a)
                for (int axis = 0; axis < 3; ++axis) {
                    const double per_mass = dt / mass.node[a];
                    component(v[a], axis) += per_mass * vector_of(f[a])[axis];
                    component(x[a], axis) += dt * component(v[a], axis);
                    most = std::max(most, std::abs(component(x[a], axis) - mesh.nodes[a][axis]));
                }
        }
        return most / (1e-9 * sample_size);
    };
    CHECK(growth(0.99 * 2.0 / exact) < 100.0);
    CHECK(growth(2.0 / bound) < 100.0);
    CHECK(growth(1.01 * 2.0 / exact) > 1e4);
    CHECK(bound < 1.1 * exact);
}

// Exact      the linear part is 0.06 of critical at the frequency of the mode in which the volume
//            changes, which is not above the bound; leapfrog then holds to 2/(omega (sqrt(1 + b^2)
//            + b)), b <= 0.06. At rest the foam has no bulk modulus in mean_stress() to divide by.
TEST_CASE("tet: bulk viscosity lowers the foam's step by its damping ratio and no more") {
    const TetMesh mesh = loose_tets(5, 39);
    TetBlock block = make_tet_block(mesh, sample_laws().back(), {});
    const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
    const auto x = rest_positions(mesh);
    std::vector<double> bare(block.n_elements), damped = bare;
    tet_element_omegas(block, mass, x, bare);
    set_bulk_viscosity(block, 0.06, 1.2, 1100.0);
    tet_element_omegas(block, mass, x, damped);
    for (Index e = 0; e < block.n_elements; ++e) {
        CHECK(damped[e] > bare[e]);
        CHECK(damped[e] <= bare[e] * (std::sqrt(1.0 + 0.06 * 0.06) + 0.06));
    }
}

// Exact      omega^2 goes with 1/m, so an element of mass m (omega/omega_t)^2 has frequency omega_t
TEST_CASE("tet: added mass brings the largest frequencies down to one limit, within its share") {
    const TetMesh mesh = loose_tets(40, 37);
    const TetBlock block = make_tet_block(mesh, sample_laws()[0], {});
    TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
    const TetMass before = mass;
    const auto x = rest_positions(mesh);
    std::vector<double> omega(block.n_elements), after(block.n_elements);
    tet_element_omegas(block, mass, x, omega);
    const double limit = raise_small_masses(mass, mesh, omega, 0.1);
    tet_element_omegas(block, mass, x, after);
    Index raised = 0;
    for (Index e = 0; e < block.n_elements; ++e) {
        CHECK(rel_err(after[e], std::min(omega[e], limit)) < 1e-12);
        raised += omega[e] > limit ? 1 : 0;
    }
    CHECK(raised > 0);
    CHECK(raised < block.n_elements);
    CHECK(rel_err(mass.added, 0.1 * mass.total) < 1e-9);
    CHECK(mass.total == before.total);
    double nodes = 0.0;
    for (const double m : mass.node)
        nodes += m;
    CHECK(rel_err(nodes, 1.1 * before.total) < 1e-9);
    TetMass untouched = before;
    CHECK(raise_small_masses(untouched, mesh, omega, 0.0) ==
          *std::max_element(omega.begin(), omega.end()));
    CHECK(untouched.node == before.node);
}
