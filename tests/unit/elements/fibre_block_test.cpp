// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/fibre_block.hpp"

#include "solver/core/error.hpp"
#include "solver/core/pack.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/elements/beam_samples.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <numbers>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

UniaxialTable linear_table(double youngs) {
    UniaxialTable table{.stretch_min = 0.5, .stretch_step = 0.25};
    for (int i = 0; i < 9; ++i) {
        const double strain = -0.5 + 0.25 * i;
        table.stress_Pa.push_back(youngs * strain);
        table.slope_Pa.push_back(youngs);
        table.energy_J_per_m3.push_back(0.5 * youngs * strain * strain);
    }
    return table;
}

/// Incompressible neo-Hookean, P = E/3 (l - 1/l^2), W = E/6 (l^2 + 2/l - 3).
UniaxialTable neo_hookean_table(double youngs) {
    UniaxialTable table{.stretch_min = 0.2, .stretch_step = 0.001};
    for (int i = 0; i <= 2800; ++i) {
        const double l = 0.2 + 0.001 * i;
        table.stress_Pa.push_back(youngs / 3.0 * (l - 1.0 / (l * l)));
        table.slope_Pa.push_back(youngs / 3.0 * (1.0 + 2.0 / (l * l * l)));
        table.energy_J_per_m3.push_back(youngs / 6.0 * (l * l + 2.0 / l - 3.0));
    }
    return table;
}

/// Mean of y^i z^j over the unit disc: 2/(i + j + 2) (i-1)!! (j-1)!! / (i+j)!!, 0 for odd powers.
double disc_moment(int i, int j) {
    if (i % 2 != 0 || j % 2 != 0)
        return 0.0;
    const auto odd_even = [](int n) { // n!!
        double product = 1.0;
        for (; n > 1; n -= 2)
            product *= n;
        return product;
    };
    return 2.0 / (i + j + 2) * odd_even(i - 1) * odd_even(j - 1) / odd_even(i + j);
}

/// One element along x whose end b is moved and turned.
struct Single {
    BeamMesh mesh = straight_row(1, {sample_length, 0, 0}, sample_radius);
    FibreBlock block;
    std::vector<NodePose> poses = rest_poses(mesh);
    std::vector<NodeLoad> slots{2};

    Single(const UniaxialTable& table,
           const std::vector<PronyTerm>& prony,
           DiscRule rule,
           const std::optional<MullinsDamage>& damage = {})
        : block(make_fibre_block(mesh, sample_moduli(), table, prony, rule, damage)) {}

    void set(double stretch, const Vec3& turn) {
        poses[1] = pose_of({stretch * sample_length, 0, 0}, turn_by(turn));
    }
    void advance(double dt) {
        REQUIRE(beam_forces(block, poses, mesh.box, dt, slots, WithEnergy::Yes) == no_index);
    }
    [[nodiscard]] BeamResultants resultants() const {
        std::vector<BeamResultants> out(1);
        beam_resultants(block, out);
        return out[0];
    }
};

const std::vector<PronyTerm> d13 = {{.share = 0.3, .time_s = 0.01}, {.share = 0.2, .time_s = 0.1}};
const MullinsDamage sample_damage{.r = 1.5, .m = 2e5, .beta = 0.2}; // E = 12 MPa
constexpr double area = std::numbers::pi * sample_radius * sample_radius;

} // namespace

TEST_SUITE_BEGIN("elements");

// Source: moments of the unit disc, elementary calculus. Tolerance: rounding.
TEST_CASE("disc points: moments up to the degree of the rule are exact") {
    for (const auto& [rule, degree] :
         {std::pair{DiscRule::Seven, 5}, std::pair{DiscRule::Twelve, 7},
          std::pair{DiscRule::Rings, 11}}) {
        double worst = 0.0;
        for (int i = 0; i <= degree; ++i)
            for (int j = 0; i + j <= degree; ++j) {
                double sum = 0.0;
                for (const DiscPoint& p : disc_points(rule))
                    sum += p.share * std::pow(p.y, i) * std::pow(p.z, j);
                worst = std::max(worst, std::abs(sum - disc_moment(i, j)));
            }
        INFO("degree ", degree);
        CHECK(worst < 1e-15);
    }
    // and the degree is not higher than said
    double sum = 0.0;
    for (const DiscPoint& p : disc_points(DiscRule::Seven))
        sum += p.share * std::pow(p.y, 6);
    CHECK(std::abs(sum - disc_moment(6, 0)) > 1e-3);
}

// Exact: with a linear table the fibres are a linear section, EA and EI in closed form.
TEST_CASE("fibres: a linear table gives the loads of resultant sections") {
    const BeamMesh mesh = loose_elements(37, 11);
    const SectionModuli moduli = sample_moduli();
    const std::vector<NodePose> poses = strongly_bent(mesh, 12);
    BeamBlock beams = make_beam_block(mesh, moduli);
    const std::vector<NodeLoad> want = slot_loads(beams, poses, mesh.box);
    for (const DiscRule rule : {DiscRule::Seven, DiscRule::Twelve, DiscRule::Rings}) {
        FibreBlock fibres = make_fibre_block(mesh, moduli, linear_table(moduli.youngs), {}, rule);
        CHECK(load_difference(slot_loads(fibres, poses, mesh.box), want) < 1e-12);
        CHECK(rel_err(stored_energy(fibres, poses, mesh.box),
                      stored_energy(beams, poses, mesh.box)) < 1e-12);
    }
}

// Exact: incompressible neo-Hookean bar, N = A E/3 (l - 1/l^2) (Treloar 1944, from memory).
// Tolerance: table error h^4/384 max|P''''| / P.
TEST_CASE("fibres: a bar in tension and compression follows the table's closed form") {
    const double youngs = sample_moduli().youngs;
    Single bar(neo_hookean_table(youngs), {}, DiscRule::Twelve);
    for (const double l : {0.4, 0.71234, 0.98765, 1.0321, 1.7, 2.6}) {
        bar.set(l, Vec3::Zero());
        bar.advance(0.0);
        CHECK(rel_err(bar.resultants().N.x(), area * youngs / 3.0 * (l - 1.0 / (l * l))) < 1e-8);
        CHECK(rel_err(beam_energies(bar.block).stored,
                      area * sample_length * youngs / 6.0 * (l * l + 2.0 / l - 3.0)) < 1e-8);
        CHECK(std::abs(bar.slots[1].fx + bar.resultants().N.x()) <
              1e-12 * std::abs(bar.slots[1].fx));
    }
}

TEST_CASE("fibres: past the ends of the table stress goes on in a straight line") {
    const double youngs = sample_moduli().youngs;
    UniaxialTable table = neo_hookean_table(youngs);
    Single bar(table, {}, DiscRule::Twelve);
    for (const double l : {0.05, 0.1999, 3.001, 5.0}) {
        bar.set(l, Vec3::Zero());
        bar.advance(0.0);
        const UniaxialPoint want = evaluate(table, l);
        CHECK(rel_err(bar.resultants().N.x(), area * want.stress_Pa) < 1e-12);
        CHECK(rel_err(beam_energies(bar.block).stored,
                      area * sample_length * want.energy_J_per_m3) < 1e-12);
    }
}

// Exact: minus the gradient of the stored energy. Tolerance: fourth-order differences, step 1e-3.
TEST_CASE("fibres: loads are minus the energy gradient for a nonlinear table") {
    const double youngs = sample_moduli().youngs;
    const BeamMesh mesh = loose_elements(1, 13);
    FibreBlock block =
        make_fibre_block(mesh, sample_moduli(), neo_hookean_table(youngs), {}, DiscRule::Twelve);
    const std::vector<NodePose> poses = strongly_bent(mesh, 14);
    const std::vector<NodeLoad> slots = slot_loads(block, poses, mesh.box);
    for (const int end : {0, 1})
        for (int axis = 0; axis < 6; ++axis) {
            const double step = 1e-3 * (axis < 3 ? sample_length : 1.0);
            const auto at = [&](double size) {
                std::vector<NodePose> moved = poses;
                const Vec3 along = size * Vec3::Unit(axis % 3);
                moved[end] = axis < 3
                                 ? pose_of(position(poses[end]) + along, orientation(poses[end]))
                                 : spun(poses[end], along);
                return stored_energy(block, moved, mesh.box);
            };
            const double slope =
                (8.0 * (at(step) - at(-step)) - (at(2 * step) - at(-2 * step))) / (12.0 * step);
            const Vec3 load = axis < 3 ? force(slots[end]) : moment(slots[end]);
            CHECK(std::abs(load[axis % 3] + slope) < 1e-7 * load.norm());
        }
}

// Exact: the 96-fibre rule, itself converged. The figures are quoted in fibre_block.hpp.
TEST_CASE("fibres: bending moment of a nonlinear section converges with the rule") {
    const double youngs = sample_moduli().youngs;
    const auto moment_of = [&](DiscRule rule, double axial, double strain, double angle) {
        Single bar(neo_hookean_table(youngs), {}, rule);
        const double turn = strain * sample_length / sample_radius;
        bar.set(1.0, turn * Vec3(0, std::cos(angle), std::sin(angle)));
        // a turned end shortens the chord in the mid frame; set the axial stretch there
        bar.poses[1].x = 0.0;
        const Vec3 along = turn_by(0.5 * turn * Vec3(0, std::cos(angle), std::sin(angle))) *
                           Vec3((1.0 + axial) * sample_length, 0, 0);
        bar.poses[1] = pose_of(along, orientation(bar.poses[1]));
        bar.advance(0.0);
        return bar.resultants().M.norm();
    };
    const auto worst = [&](DiscRule rule, double strain) {
        double error = 0.0;
        for (const double axial : {-0.1, 0.0, 0.2})
            for (const double angle : {0.0, 0.3, 0.6, 0.785})
                error = std::max(error, rel_err(moment_of(rule, axial, strain, angle),
                                                moment_of(DiscRule::Rings, axial, strain, angle)));
        return error;
    };
    CHECK(worst(DiscRule::Twelve, 0.2) < 5e-6);
    CHECK(worst(DiscRule::Twelve, 0.5) < 2.1e-3);
    CHECK(worst(DiscRule::Seven, 0.2) < 4e-4);
    CHECK(worst(DiscRule::Seven, 0.2) > 1e-4); // else the cheaper rule would do
}

// Source: references.md D13 (hereditary integral in closed form). Tolerance there: 0.2 %.
TEST_CASE("fibres: ramp and hold of stretch, shear and twist relax as the Prony series") {
    Single bar(linear_table(sample_moduli().youngs), d13, DiscRule::Twelve);
    const BeamGroup& group = bar.block.beams.groups[0];
    const double dt = 2.5e-4;
    const std::vector<std::pair<int, double>> exact = {{40, .04399807},  {80, .08109690},
                                                       {120, .07117331}, {200, .06407449},
                                                       {400, .05814930}, {2000, .05014918}};
    bar.advance(0.0);
    for (int n = 1; n <= 2000; ++n) {
        const double strain = 0.1 * std::min(1.0, n / 80.0);
        bar.set(1.0 + strain, Vec3(strain, 0, 0));
        bar.poses[1].y = strain * sample_length; // in the mid frame: turned by half the twist
        bar.advance(dt);
        for (const auto& [at, want] : exact)
            if (n == at) {
                const BeamResultants r = bar.resultants();
                const double shear = std::hypot(r.N.y(), r.N.z()) / group.kGA[0];
                CHECK(rel_err(r.N.x() / group.EA[0], want) < 5e-5);
                CHECK(rel_err(r.M.x() / group.GJ[0] * sample_length, want) < 5e-5);
                CHECK(rel_err(shear, want) < 2e-3); // its direction turns with the half twist
            }
    }
}

// Source: references.md D14, loop area pi G'' g^2 a cycle. Tolerance there: 0.5 %.
TEST_CASE("fibres: energy dissipated in a cycle is the loss modulus's") {
    Single bar(linear_table(sample_moduli().youngs), d13, DiscRule::Twelve);
    const double volume = area * sample_length;
    const int steps = 400; // a cycle
    const double dt = 0.1 / steps;
    double before = 0.0, after = 0.0;
    for (int n = 0; n <= 10 * steps; ++n) {
        bar.set(1.0 + 0.1 * std::sin(2.0 * std::numbers::pi * n / steps), Vec3::Zero());
        bar.advance(n == 0 ? 0.0 : dt);
        if (n == 9 * steps)
            before = beam_energies(bar.block).dissipated;
        after = beam_energies(bar.block).dissipated;
    }
    CHECK(rel_err((after - before) / (volume * sample_moduli().youngs), 5.220944e-3) < 5e-4);
}

// Exact: work of the end force by the trapezoidal rule = stored + dissipated. Tolerance: rounding.
TEST_CASE("fibres: stored and dissipated energy add up to the work done") {
    const double youngs = sample_moduli().youngs;
    Single bar(neo_hookean_table(youngs), d13, DiscRule::Twelve);
    bar.block.clock_ratio = 50.0;
    bar.advance(0.0);
    double work = 0.0, last = 0.0, lowest = 0.0;
    for (int n = 1; n <= 300; ++n) {
        const double x = bar.poses[1].x, f = bar.slots[1].fx;
        bar.set(1.0 + 0.5 * std::sin(0.05 * n), Vec3::Zero());
        bar.advance(1e-5);
        work -= 0.5 * (f + bar.slots[1].fx) * (bar.poses[1].x - x);
        const BeamEnergies energy = beam_energies(bar.block);
        CHECK(std::abs(energy.stored + energy.dissipated - work) <
              1e-13 * youngs * area * sample_length);
        lowest = std::min(lowest, energy.dissipated - last);
        last = energy.dissipated;
    }
    CHECK(last > 0.02 * youngs * area * sample_length * 0.125);
    INFO("lowest ", lowest / last);
    CHECK(lowest > -1e-3 * last);
}

// Exact      P = eta E/3 (l - 1/l^2) with W = E/6 (l^2 + 2/l - 3); shear and twist eta times linear
//            with W = kappa G gamma^2/2 and the section's mean G (R kappa1)^2/4. eta of Ogden &
//            Roxburgh (1999) with the C library's erf.
// Tolerance  table 1e-9; a shear turns with the frame.
TEST_CASE("fibres: damage softens a bar, a shear and a twist after their first loading") {
    const double youngs = sample_moduli().youngs, G = sample_moduli().shear;
    const auto eta = [](double W, double W_max) {
        return 1.0 - std::erf((W_max - W) / (sample_damage.m + sample_damage.beta * W_max)) /
                         sample_damage.r;
    };
    Single bar(neo_hookean_table(youngs), {}, DiscRule::Twelve, sample_damage);
    const BeamGroup& group = bar.block.beams.groups[0];
    double most = 0.0;
    for (const double l : {1.3, 1.8, 1.5, 1.1, 0.9, 1.6, 2.0}) {
        bar.set(l, Vec3::Zero());
        bar.advance(0.0);
        const double W = youngs / 6.0 * (l * l + 2.0 / l - 3.0);
        most = std::max(most, W);
        CHECK(rel_err(bar.resultants().N.x() / area,
                      eta(W, most) * youngs / 3.0 * (l - 1.0 / (l * l))) < 1e-8);
    }
    double most_twist = 0.0, most_shear = 0.0;
    for (const double strain : {0.2, 0.4, 0.3, 0.1}) {
        bar.set(1.0, Vec3(strain, 0, 0));
        bar.poses[1].y = strain * sample_length;
        bar.advance(0.0);
        const BeamResultants r = bar.resultants();
        const double twist = 0.25 * G * std::pow(sample_radius * r.kappa.x(), 2);
        const double gamma = r.Gamma.y();
        const double shear = 0.5 * sample_moduli().shear_factor * G * gamma * gamma;
        most_twist = std::max(most_twist, twist);
        most_shear = std::max(most_shear, shear);
        CHECK(rel_err(r.M.x(), eta(twist, most_twist) * group.GJ[0] * r.kappa.x()) < 1e-12);
        CHECK(rel_err(r.N.y(), eta(shear, most_shear) * group.kGA[0] * gamma) < 1e-12);
    }
}

// Exact      a first cycle loses what MullinsDamage says for its largest energy; a second none.
// Tolerance  2000 steps a cycle by the trapezoidal rule
TEST_CASE("fibres: energy lost to damage is counted once") {
    const double youngs = sample_moduli().youngs;
    Single bar(neo_hookean_table(youngs), {}, DiscRule::Twelve, sample_damage);
    bar.advance(0.0);
    std::array<double, 2> lost{};
    for (int n = 1; n <= 4000; ++n) {
        bar.set(1.0 + 0.4 * std::pow(std::sin(std::numbers::pi * n / 2000.0), 2), Vec3::Zero());
        bar.advance(0.0);
        if (n % 2000 == 0)
            lost[n / 2000 - 1] = beam_energies(bar.block).dissipated;
    }
    const double W = youngs / 6.0 * (1.4 * 1.4 + 2.0 / 1.4 - 3.0);
    CHECK(rel_err(lost[0], sample_damage.lost(W) * area * sample_length) < 1e-5);
    CHECK(rel_err(lost[1], lost[0]) < 1e-5);
}

TEST_CASE("fibres: a sudden jump stores what the instantaneous table says") {
    const double youngs = sample_moduli().youngs;
    Single bar(neo_hookean_table(youngs), d13, DiscRule::Twelve);
    for (const double l : {0.5, 1.8}) {
        Single jump = bar;
        jump.set(l, Vec3::Zero());
        jump.advance(0.0);
        CHECK(rel_err(beam_energies(jump.block).stored,
                      area * sample_length * youngs / 6.0 * (l * l + 2.0 / l - 3.0)) < 1e-8);
    }
    // near rest W0/P0^2 has lost its digits: 1/(2 E) takes over. Strain known to 2e-16/1e-9.
    const double strain = 1e-9;
    bar.set(1.0 + strain, Vec3::Zero());
    bar.advance(0.0);
    CHECK(rel_err(beam_energies(bar.block).stored,
                  0.5 * youngs * area * sample_length * strain * strain) < 1e-6);
}

// Exact: the scalar oracle. Tolerance: rounding of fused and separate multiply-adds.
TEST_CASE("fibres: vector lanes agree with the scalar oracle at any size") {
    const double youngs = sample_moduli().youngs;
    for (const Index n : {0, 1, lanes_of<Pack> - 1, lanes_of<Pack>, lanes_of<Pack> + 1, 29}) {
        const BeamMesh mesh = loose_elements(n, 21);
        FibreBlock block = make_fibre_block(
            mesh, sample_moduli(), neo_hookean_table(youngs), d13, DiscRule::Twelve,
            n % 2 == 0 ? std::nullopt : std::optional(sample_damage));
        FibreBlock oracle = block;
        std::vector<NodeLoad> got(2 * n), want(2 * n);
        for (unsigned step = 0; step < 4; ++step) {
            const std::vector<NodePose> poses = strongly_bent(mesh, 22 + step);
            CHECK(beam_forces(block, poses, mesh.box, 3e-3, got, WithEnergy::Yes) == no_index);
            CHECK(beam_forces_scalar(oracle, poses, mesh.box, 3e-3, want, WithEnergy::Yes) ==
                  no_index);
            if (n > 0) {
                CHECK(load_difference(got, want) < 1e-12);
                CHECK(rel_err(beam_energies(block).stored, beam_energies(oracle).stored) < 1e-12);
                CHECK(rel_err(beam_energies(block).dissipated, beam_energies(oracle).dissipated) <
                      1e-11);
            }
        }
    }
}

TEST_CASE("fibres: a node that is not a number is reported, not followed") {
    const BeamMesh mesh = loose_elements(20, 31);
    FibreBlock block = make_fibre_block(
        mesh, sample_moduli(), neo_hookean_table(sample_moduli().youngs), d13, DiscRule::Twelve);
    std::vector<NodePose> poses = rest_poses(mesh);
    std::vector<NodeLoad> slots(40);
    poses[2 * 13].z = std::nan("");
    poses[2 * 17].qx = std::nan("");
    CHECK(beam_forces(block, poses, mesh.box, 1e-3, slots, WithEnergy::Yes) == 13);
}

TEST_CASE("fibres: a table that does not fit the moduli is refused") {
    const BeamMesh mesh = loose_elements(1, 41);
    CHECK_THROWS_AS(
        make_fibre_block(mesh, sample_moduli(), linear_table(1e6), {}, DiscRule::Twelve), Error);
    const std::vector<PronyTerm> many(17, PronyTerm{.share = 0.01, .time_s = 1.0});
    CHECK_THROWS_AS(
        make_fibre_block(mesh, sample_moduli(), linear_table(12e6), many, DiscRule::Twelve), Error);
}

TEST_SUITE_END();
