// SPDX-License-Identifier: Apache-2.0
// Problem    solids of ten-node tetrahedra: locking, bending, bonding, large strain, motion.
// Exact      named at each case; the letters and numbers are those of the verification list.
// Tolerance  argued at each case from the mesh that it uses.
#include "solver/elements/tet_mass.hpp"
#include "solver/elements/tet_stable_step.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/tet_problems.hpp"

#include <doctest/doctest.h>

#include <limits>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

NeoHookean rubber(double youngs, double poisson) {
    return {.mu = youngs / (2.0 * (1.0 + poisson)),
            .kappa = youngs / (3.0 * (1.0 - 2.0 * poisson)),
            .void_fraction = 0.0};
}

std::vector<double> linear_solution(const Problem& problem, const NeoHookean& law) {
    const TetBlock block = make_tet_block(problem.mesh, law, {});
    return solve_linear(problem.mesh, stiffnesses(block), problem.support);
}

/// Apparent over true Young's modulus of a bonded cylinder.
double bonded_ratio(double H, int n, int n_along, double poisson) {
    const Problem p = pressed_cylinder(H, n, n_along, H, Plates::Bonded);
    const TetBlock block = make_tet_block(p.mesh, rubber(1.0, poisson), {});
    const std::vector<Mat30> K = stiffnesses(block);
    const std::vector<double> u = solve_linear(p.mesh, K, p.support);
    return plate_stress(p.mesh, reactions(p.mesh, K, u), H);
}

} // namespace

TEST_SUITE_BEGIN("verification");

// Exact      u = G x inside when it is given on the surface. Source: Irons (references E1).
// Tolerance  rounding times the condition of the matrix, kappa/mu = 5000: 1e-10 as stated there.
TEST_CASE("tets: linear patch test on a distorted mesh") {
    TetMesh mesh = box_mesh(3, 3, 3, Vec3(1.0, 1.0, 1.0));
    const auto outside = [](const Vec3& X) {
        return X.minCoeff() < 1e-9 || X.maxCoeff() > 1.0 - 1e-9;
    };
    std::mt19937 random(41);
    std::uniform_real_distribution<double> part(-0.06, 0.06);
    move_corners(mesh, [&](const Vec3& X) {
        const double x = part(random), y = part(random), z = part(random);
        return outside(X) ? X : Vec3(X + Vec3(x, y, z));
    });
    const Mat3 G = (Mat3() << 1e-3, 2e-3, -1e-3, 3e-3, -2e-3, 1e-3, 0.5e-3, 1e-3, 2e-3).finished();
    for (const double poisson : {0.3, 0.4999}) {
        Support support(mesh.nodes.size());
        for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
            if (outside(mesh.nodes[n]))
                for (int axis = 0; axis < 3; ++axis)
                    support.fix(static_cast<Index>(n), axis, (G * mesh.nodes[n])[axis]);
        const TetBlock block = make_tet_block(mesh, rubber(1.0, poisson), {});
        const std::vector<double> u = solve_linear(mesh, stiffnesses(block), support);
        double worst = 0.0;
        for (std::size_t i = 0; i < u.size(); ++i)
            worst = std::max(worst, std::abs(u[i] - (G * mesh.nodes[i / 3])[int(i % 3)]));
        CHECK(worst < 1e-10 * G.norm());
    }
}

// Exact      corner (48, 60) u_y 7.765, middle (48, 52) 7.403: own Q2 solution, references E4.
// Tolerance  1 % is the locking test; linear tetrahedra of the same mesh are more than 30 % short
//            (benchmarks/runs/tet_choice).
TEST_CASE("tets: Cook's membrane, linear, nearly incompressible") {
    const Problem p = cook(16);
    const std::vector<double> u = linear_solution(p, rubber(250.0, 0.4999));
    CHECK(rel_err(displacement_at(p.mesh, u, 48.0, 60.0, 1), 7.765) < 0.01);
    CHECK(rel_err(displacement_at(p.mesh, u, 48.0, 52.0, 1), 7.403) < 0.01);
}

// Exact      plane strain, E = 70, nu = 1/3, total 100: corner u_y 32.28, middle 30.747, own Q2
//            solution at N = 64; the corner also in published tables of a finite-volume code, 32.20
//            to 32.28. References E3.
// Tolerance  0.5 %, theirs.
TEST_CASE("tets: Cook's membrane, linear, compressible") {
    const Problem p = cook(16);
    const std::vector<double> u = linear_solution(p, rubber(70.0, 1.0 / 3.0));
    CHECK(rel_err(displacement_at(p.mesh, u, 48.0, 60.0, 1), 32.28) < 0.005);
    CHECK(rel_err(displacement_at(p.mesh, u, 48.0, 52.0, 1), 30.747) < 0.005);
}

// Exact      plane stress, E = 1, nu = 1/3, total 1 on unit thickness: middle (48, 52) u_y 23.965,
//            corner 25.16: own Q2 solution at N = 64; the middle also 23.91 to 23.96 in the
//            literature (Cook 1974). References E2. Plane stress by the equivalent plane strain:
//            E' = E (1 + 2 nu)/(1 + nu)^2, nu' = nu/(1 + nu).
// Tolerance  0.5 %, theirs.
TEST_CASE("tets: Cook's membrane, plane stress") {
    const double nu = 1.0 / 3.0, plane_E = (1.0 + 2.0 * nu) / ((1.0 + nu) * (1.0 + nu));
    const Problem p = cook(16);
    const std::vector<double> u = linear_solution(p, rubber(100.0 * plane_E, nu / (1.0 + nu)));
    CHECK(rel_err(displacement_at(p.mesh, u, 48.0, 52.0, 1), 23.965) < 0.005);
    CHECK(rel_err(displacement_at(p.mesh, u, 48.0, 60.0, 1), 25.16) < 0.005);
}

// Exact      corner 6.93, middle 6.958: own Q2 solution, references E5 (mu/2 (J^-2/3 I1 - 3) +
//            K/2 (J - 1)^2; our U(J) differs from it by less than the volume strain, 1e-4).
// Tolerance  1 %.
TEST_CASE("tets: Cook's membrane, finite strain, nearly incompressible") {
    const Problem p = cook(8);
    TetBlock block = make_tet_block(
        p.mesh, NeoHookean{.mu = 80.1938, .kappa = 400890.0, .void_fraction = 0.0}, {});
    const Equilibrium at = solve_static(p.mesh, block, p.support, 10, 1e-4);
    REQUIRE(at.found);
    CHECK(rel_err(displacement_at(p.mesh, at.u, 48.0, 60.0, 1), 6.93) < 0.01);
    CHECK(rel_err(displacement_at(p.mesh, at.u, 48.0, 52.0, 1), 6.958) < 0.01);
}

// Exact      corner 8.764, middle 8.971: own Q2 solution, references E7.
// Tolerance  1 %: U(J) is another one (their K/2 (J - 1)^2 against K/4 (J^2 - 1 - 2 ln J)), which
//            at nu = 0.3 is felt: the two differ by a third of the volume strain.
TEST_CASE("tets: Cook's membrane, finite strain, compressible") {
    const Problem p = cook(8);
    TetBlock block = make_tet_block(p.mesh, rubber(208.504, 0.3), {});
    const Equilibrium at = solve_static(p.mesh, block, p.support, 4, 1e-4);
    REQUIRE(at.found);
    CHECK(rel_err(displacement_at(p.mesh, at.u, 48.0, 60.0, 1), 8.764) < 0.01);
    CHECK(rel_err(displacement_at(p.mesh, at.u, 48.0, 52.0, 1), 8.971) < 0.01);
}

// Exact      Timoshenko with Cowper's shear factor; the clamp also holds the section's own width,
//            which a beam does not feel (about 1 % at L = 10 d, nu = 0.49, stiffer).
// Tolerance  2 %: two elements across, and four.
TEST_CASE("tets: a round strut bends as a Timoshenko beam with two elements across") {
    for (const auto& [n, n_along] : {std::pair{1, 20}, {2, 20}}) {
        const Problem p = strut(n, n_along);
        const std::vector<double> u = linear_solution(p, rubber(50.0, 0.49));
        CHECK(rel_err(strut_tip(p.mesh, u), timoshenko_tip(50.0, 0.49)) < 0.02);
    }
}

// Exact      references E9: 16 x 16 graded Q2 axisymmetric. Tolerance: 0.5 %, 1 % for the flat
// disc.
TEST_CASE("tets: bonded cylinders have the apparent modulus of their shape") {
    CHECK(rel_err(bonded_ratio(2.0, 3, 4, 0.4999), 1.0887) < 0.005);
    CHECK(rel_err(bonded_ratio(1.0, 3, 3, 0.4999), 1.1962) < 0.005);
    CHECK(rel_err(bonded_ratio(0.5, 4, 3, 0.4999), 1.5443) < 0.005);
    CHECK(rel_err(bonded_ratio(0.25, 6, 3, 0.4999), 2.952) < 0.01);
    CHECK(rel_err(bonded_ratio(0.25, 6, 3, 0.49), 2.634) < 0.01);
}

// Exact      E (1 + 2 S^2) with S = D/4H, reduced by the bulk: Gent & Lindley (1959), references
// E8. Tolerance  10 %: that is how good the formula is.
TEST_CASE("tets: bonded discs follow the shape factor") {
    for (const double H : {1.0, 0.5, 0.25}) {
        const double S = 0.25 / H, alone = 1.0 + 2.0 * S * S;
        const double bulk = 1.0 / (3.0 * (1.0 - 2.0 * 0.4999));
        CHECK(rel_err(bonded_ratio(H, 4, 3, 0.4999), 1.0 / (1.0 / alone + 1.0 / bulk)) < 0.1);
    }
}

// Exact      waves of G = 17 MPa, K = 500 MPa, 1200 kg/m3: c_p 659.966, c_s 119.024 m/s; an element
//            of 0.5 mm takes a step of at most 0.5 mm / c_p = 7.58e-7 s. References E19.
// Tolerance  rounding of the stiffness at rest: 1e-9 of uniform strains.
TEST_CASE("tets: wave speeds and the step of half a millimetre") {
    const TetMesh mesh = box_mesh(2, 2, 2, Vec3::Constant(1e-3));
    const TetBlock block =
        make_tet_block(mesh, NeoHookean{.mu = 17e6, .kappa = 500e6, .void_fraction = 0.0}, {});
    const std::vector<Mat30> K = stiffnesses(block);
    const auto modulus = [&](int axis) { // twice the energy of u_axis = z over the volume
        std::vector<double> u(3 * mesh.nodes.size(), 0.0);
        for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
            u[3 * n + axis] = mesh.nodes[n].z();
        const std::vector<double> f = reactions(mesh, K, u);
        double work = 0.0;
        for (std::size_t i = 0; i < u.size(); ++i)
            work += f[i] * u[i];
        return work / 1e-9;
    };
    CHECK(rel_err(std::sqrt(modulus(2) / 1200.0), 659.966) < 1e-6);
    CHECK(rel_err(std::sqrt(modulus(0) / 1200.0), 119.024) < 1e-5);
    const double omega =
        tet_stable_omega(block, tet_lumped_mass(mesh, block, 1200.0), rest_positions(mesh));
    CHECK(2.0 / omega < 7.58e-7);
}

namespace {

/// A bonded cylinder of diameter 1 at large strain.
struct Bonded {
    double H = 1.0, strain = 0.0;
    int rings = 3, layers = 3;
};

/// Nominal stress; NaN when Newton does not get there.
double bonded_stress(const NeoHookean& law, const Bonded& at, int steps) {
    const Problem p = pressed_cylinder(at.H, at.rings, at.layers, at.strain * at.H, Plates::Bonded);
    TetBlock block = make_tet_block(p.mesh, law, {});
    const Equilibrium found = solve_static(p.mesh, block, p.support, steps, 1e-6);
    return found.found ? plate_stress(p.mesh, found.reaction, at.H)
                       : std::numeric_limits<double>::quiet_NaN();
}

} // namespace

// Exact      more of E10: H/D = 1 at 0.2: 0.2923; H/D = 2 at 0.1: 0.1210; H/D = 0.5 at 0.05:
// 0.0815. Tolerance  1 %, theirs.
TEST_CASE("tets: bonded cylinders at large strain, more shapes" * doctest::skip()) {
    const NeoHookean law{.mu = 80.1938, .kappa = 400890.0, .void_fraction = 0.0};
    const double E = law.initial_moduli().E0;
    CHECK(rel_err(bonded_stress(law, {1.0, 0.2, 3, 3}, 20) / E, 0.2923) < 0.01);
    CHECK(rel_err(bonded_stress(law, {2.0, 0.1, 2, 4}, 10) / E, 0.1210) < 0.01);
    CHECK(rel_err(bonded_stress(law, {0.5, 0.05, 3, 3}, 10) / E, 0.0815) < 0.01);
}

// Exact      E10: nominal stress / E of the bonded cylinder H/D = 1 at strain 0.1: 0.1323, same FE.
//            E11: lubricated, (l^-2 - l)/3. Tolerance: 1 % and 0.2 %, theirs.
TEST_CASE("tets: cylinders pressed at large strain, bonded and lubricated") {
    const NeoHookean law{.mu = 80.1938, .kappa = 400890.0, .void_fraction = 0.0};
    const double E = law.initial_moduli().E0;
    CHECK(rel_err(bonded_stress(law, {1.0, 0.1, 3, 3}, 10) / E, 0.1323) < 0.01);
    for (const double strain : {0.1, 0.3, 0.5}) {
        const Problem sliding = pressed_cylinder(1.0, 1, 1, strain, Plates::Sliding);
        TetBlock loose = make_tet_block(sliding.mesh, law, {});
        const Equilibrium free = solve_static(sliding.mesh, loose, sliding.support, 10, 1e-6);
        REQUIRE(free.found);
        const double l = 1.0 - strain;
        // per nominal area of the mesh: parabolic arcs of 60 degrees enclose 0.9978 of the circle
        const double area =
            4.0 / std::numbers::pi * 0.25 *
            (6.0 * std::sqrt(3.0) / 4.0 + 6.0 * 2.0 / 3.0 * (1.0 - std::sqrt(0.75)));
        CHECK(rel_err(plate_stress(sliding.mesh, free.reaction, 1.0) / E / area,
                      (1.0 / (l * l) - l) / 3.0) < 0.002);
    }
}

namespace {

/// Leapfrog of a clamped column from its initial velocities; the times asked for are multiples of
/// 0.1 s. @return tip-centre u_x at 0.2, 0.4, 0.6 and 0.8 s, and the largest error of the energy
struct Swing {
    std::array<double, 4> tip{};
    double energy_error = 0.0, kinetic_start = 0.0;
};

Swing swing(int n, double poisson) {
    const TetMesh mesh = box_mesh(n, n, 6 * n, Vec3(1.0, 1.0, 6.0));
    TetBlock block = make_tet_block(mesh, rubber(17e6, poisson), {});
    const TetMass mass = tet_lumped_mass(mesh, block, 1100.0);
    TetTiles tiles = make_tet_tiles(mesh);
    std::vector<NodePoint> x = rest_positions(mesh), v(x.size());
    std::vector<NodeForce> f(x.size());
    Index tip = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        v[i].x = 10.0 * x[i].z / 6.0;
        if ((mesh.nodes[i] - Vec3(0.5, 0.5, 6.0)).norm() < 1e-9)
            tip = static_cast<Index>(i);
    }
    const double rest = mesh.nodes[tip].x();
    double dt = 0.6 * 2.0 / tet_stable_omega(block, mass, x);
    const int per_sample = static_cast<int>(std::ceil(0.2 / dt));
    dt = 0.2 / per_sample;
    Swing result;
    double total = 0.0;
    for (int step = 0; step <= 4 * per_sample; ++step) {
        const bool sample = step % per_sample == 0;
        if (tet_node_forces(block, tiles, x, dt, f, sample ? WithEnergy::Yes : WithEnergy::No) !=
            no_index)
            return result;
        double kinetic = 0.0;
        for (std::size_t i = 0; i < x.size(); ++i) {
            if (mesh.nodes[i].z() < 1e-9)
                continue;
            const double half = 0.5 * dt / mass.node[i], first = step == 0 ? 0.0 : 1.0;
            for (int axis = 0; axis < 3; ++axis) {
                const double a = axis == 0 ? f[i].x : axis == 1 ? f[i].y : f[i].z;
                component(v[i], axis) += first * half * a; // to the whole step
                kinetic += 0.5 * mass.node[i] * component(v[i], axis) * component(v[i], axis);
                component(v[i], axis) += half * a;
                component(x[i], axis) += dt * component(v[i], axis);
            }
        }
        if (!sample)
            continue;
        const double energy = kinetic + tet_energies(block).stored;
        if (step == 0)
            total = result.kinetic_start = energy;
        else
            result.tip[step / per_sample - 1] = x[tip].x - dt * v[tip].x - rest;
        result.energy_error = std::max(result.energy_error, std::abs(energy / total - 1.0));
    }
    return result;
}

} // namespace

// Exact      own 27-node hexahedra, 6 x 6 x 36, explicit: u_x 2.046, 2.941, 2.698 at 0.2, 0.4, 0.6
//            s, 1.03 at 0.8 s; initial energy 110 000 J exactly. Source: references E16, set-up of
//            Lee, Gil & Bonet (2013).
// Tolerance  5 % for tetrahedra, theirs; late in the swing of the peak, where the column is fast.
//            Energy: leapfrog keeps it within (omega dt)^2 of the modes that carry it, below 1 %.
TEST_CASE("tets: a bending column swings as hexahedra do, and keeps its energy") {
    const Swing at = swing(2, 0.45);
    // the lumped mass turns int z^2 with an error of order h^2: 0.5 % with twelve elements along
    CHECK(rel_err(at.kinetic_start, 110000.0) < 0.01);
    const std::array<double, 4> want = {2.046, 2.941, 2.698, 1.03};
    for (int i = 0; i < 4; ++i) {
        INFO("at ", 0.2 * (i + 1), " s: ", at.tip[i]);
        CHECK(std::abs(at.tip[i] - want[i]) < 0.05 * 2.941);
    }
    CHECK(at.energy_error < 0.01);
}

// Exact      u = grad (x^4 - 6 x^2 y^2 + y^4)/4 = (x^3 - 3 x y^2, y^3 - 3 x^2 y): a harmonic
//            gradient has no divergence and needs no body force at any mu and kappa.
// Tolerance  one pressure an element is exact to order 1 and leaves order 2 in displacement; where
//            the pressure is smooth, as here, the quadratic displacements may show their order 3.
//            Root mean square over the free nodes, two halvings.
TEST_CASE("tets: displacements of a nearly incompressible solid converge at order 2 or better") {
    const auto exact = [](const Vec3& X) {
        const double x = X.x() - 0.2, y = X.y() + 0.3;
        return Vec3(x * x * x - 3.0 * x * y * y, y * y * y - 3.0 * x * x * y, 0.0);
    };
    std::vector<double> error;
    for (const int n : {2, 4, 8}) {
        const TetMesh mesh = box_mesh(n, n, 1, Vec3(1.0, 1.0, 1.0 / n));
        Support support(mesh.nodes.size());
        for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
            const Vec3& X = mesh.nodes[i];
            support.fix(static_cast<Index>(i), 2);
            if (X.head<2>().minCoeff() < 1e-9 || X.head<2>().maxCoeff() > 1.0 - 1e-9)
                for (int axis = 0; axis < 2; ++axis)
                    support.fix(static_cast<Index>(i), axis, exact(X)[axis]);
        }
        const TetBlock block = make_tet_block(mesh, rubber(1.0, 0.4999), {});
        const std::vector<double> u = solve_linear(mesh, stiffnesses(block), support);
        double sum = 0.0;
        int count = 0;
        for (std::size_t i = 0; i < mesh.nodes.size(); ++i)
            if (!support.fixed[3 * i]) {
                sum += (Vec3(u[3 * i], u[3 * i + 1], u[3 * i + 2]) - exact(mesh.nodes[i]))
                           .squaredNorm();
                ++count;
            }
        error.push_back(std::sqrt(sum / count));
    }
    INFO("errors ", error[0], " ", error[1], " ", error[2]);
    CHECK(order(error[0], error[1]) > 1.7);
    CHECK(order(error[1], error[2]) > 1.7);
    CHECK(order(error[1], error[2]) < 4.0);
}
