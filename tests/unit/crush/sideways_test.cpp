// SPDX-License-Identifier: Apache-2.0
#include "meshes/specimens/specimen.hpp"
#include "solver/cli/verify/known_cells.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

using namespace cellgrade;

namespace {

constexpr double E = 50e6, nu = 0.45, edge = 10e-3, radius = 0.3e-3;

/// One upright strut between two glued plates: the simple cubic cell, whose other struts lie in the
/// plates. Linear elastic.
CrushSetup upright_strut() {
    StrutCell cell{.name = "upright", .lattice = edge * Mat3::Identity()};
    cell.nodes = {{0.5, 0.5, 0.0}};
    cell.struts = {{.a = 0, .b = 0, .image_b = {0, 0, 1}}};
    CrushSetup setup;
    setup.mesh =
        build_specimen(cell, {.diameter = 2.0 * radius,
                              .beams = {.element_length = edge / 24.0, .joints = Joints::None}});
    setup.polymer = {.name = "linear",
                     .source = "invented for the test",
                     .density_kg_per_m3 = 1200.0,
                     .law = LinearElastic{.E = E, .nu = nu, .void_fraction = 0.0}};
    setup.section = SectionKind::Resultants;
    setup.ends = SpecimenEnds::Bonded;
    setup.self_contact = false;
    setup.loading = {.strain_rate_per_s = 0.01};
    setup.numerics.rows_per_strain = 20000.0;
    setup.numerics.solver_speed_m_per_s = 0.002; // a way of 30 um takes 15 periods of its sway
    return setup;
}

double sway_stiffness(double compression) {
    const double A = M_PI * radius * radius, I = A * radius * radius / 4.0;
    const double G = E / (2.0 * (1.0 + nu)), kappa = 6.0 * (1.0 + nu) / (7.0 + 6.0 * nu);
    const double L = edge * (1.0 - compression), P = E * A * compression;
    if (P == 0.0)
        return 12.0 * E * I / (L * L * L * (1.0 + 12.0 * E * I / (kappa * G * A * L * L)));
    const double mu = std::sqrt(P / (E * I));
    return P / (2.0 / mu * std::tan(0.5 * mu * L) - L);
}

/// Side force over slide at the end, by the curve, whose forces belong to its rows [N/m].
double last_stiffness(const CrushRecord& r) {
    const CrushCurve curve = crush_curve(r);
    return curve.shear_stress_Pa.back() * edge * edge / (curve.shear_strain.back() * edge);
}

} // namespace

// Problem    a strut clamped between plates, the upper one moved sideways by 0.3 % of the height.
// Exact      k = 12 E I / (L^3 (1 + Phi)), Timoshenko beam (references A2).
// Tolerance  plates at a fixed distance stretch the strut: its force N = (3/5) E A (u/L)^2 adds
//            (6/5) N u / L, which over 12 E I u / L^3 is 0.06 (u/L)^2 A L^2 / I = 0.24 (u/r)^2:
//            0.24 % at u = r / 10; elements with one point of bending are stiffer by 1 / n^2, 0.17
//            % of 24; inertia and the mean over a row 0.5 %
TEST_CASE("crush: a strut sheared between plates has the stiffness of a clamped sway") {
    CrushSetup setup = upright_strut();
    setup.loading.to_strain = 0.0;
    setup.loading.shear_to_strain = 0.003;
    const CrushRecord r = run_crush(setup);
    CHECK(r.failure.empty());
    CHECK(r.trusted());
    CHECK(r.sideways);
    CHECK(r.shear_row == 0);
    CHECK(r.history.displacement_m.back() == 0.0);
    CHECK(test::rel_err(last_stiffness(r), sway_stiffness(0.0)) < 0.01);
    CHECK(test::rel_err(r.history.side_force_bottom_N.back(), r.history.side_force_top_N.back()) <
          0.03);
    const CrushCurve curve = crush_curve(r);
    CHECK(curve.shear_strain.size() == curve.nominal_strain.size());
    CHECK(std::abs(curve.shear_strain.back() - 0.003) < 1e-4);
}

// Exact      k(P) = P / ((2 / m) tan(m L / 2) - L), m^2 = P / E I: the stability functions of a
//            column, zero at P = pi^2 E I / L^2. At half of that the strut has lost half its sway.
// Source     Timoshenko & Gere, Theory of Elastic Stability, ch. 1 (beam columns)
// Tolerance  shear flexibility, left out, is Phi = 0.8 % of compliance; inertia 0.5 %; the strain
//            at which compression stops is met within half a row of 20000 rows a strain
TEST_CASE("crush: compression takes from the shear stiffness what stability theory says") {
    const double critical = M_PI * M_PI * radius * radius / 4.0 / (edge * edge);
    CrushSetup setup = upright_strut();
    setup.loading.to_strain = 0.5 * critical;
    setup.loading.shear_to_strain = 0.003;
    const CrushRecord r = run_crush(setup);
    CHECK(r.trusted());
    const double compression = r.history.displacement_m.back() / edge;
    CHECK(test::rel_err(compression, 0.5 * critical) < 0.02);
    CHECK(r.shear_row > 5);
    CHECK(r.shear_row < static_cast<Index>(r.history.slide_m.size()));
    CHECK(r.history.slide_m[r.shear_row - 1] == 0.0);
    const double expected = sway_stiffness(compression);
    CHECK(expected < 0.6 * sway_stiffness(0.0)); // the effect is there to be seen
    CHECK(test::rel_err(last_stiffness(r), expected) < 0.025);
}

// Exact      small displacements add: normal force E A e, side force 12 E I / (L^3 (1 + Phi)) e L
//            tan(angle); the strut loses the share that compression takes, mean over the path
// Tolerance  as above; the share that compression takes, at most 10 %, by the formula to 1 %
TEST_CASE("crush: an oblique path is compression and shear at once") {
    CrushSetup setup = upright_strut();
    setup.loading.to_strain = 2e-4; // a tenth of the critical strain
    setup.loading.path_angle = M_PI / 4.0;
    setup.numerics.rows_per_strain = 2e5;
    setup.numerics.solver_speed_m_per_s = 1e-4;
    const CrushRecord r = run_crush(setup);
    CHECK(r.trusted());
    const CrushHistory& h = r.history;
    CHECK(test::rel_err(h.slide_m.back(), h.displacement_m.back()) < 1e-9);
    const double strain = h.displacement_m.back() / edge;
    CHECK(test::rel_err(h.force_top_N.back(), E * M_PI * radius * radius * strain) < 0.03);
    CHECK(test::rel_err(last_stiffness(r), sway_stiffness(strain)) < 0.03);
}

TEST_CASE("crush: what cannot be sheared is refused with what would be right") {
    const auto message = [](const CrushSetup& setup) -> std::string {
        try {
            (void)run_crush(setup);
        } catch (const Error& e) {
            return e.message();
        }
        return "";
    };
    CrushSetup setup = upright_strut();
    setup.loading.to_strain = 0.1;
    setup.loading.shear_to_strain = 0.2;
    setup.ends = SpecimenEnds::Platen;
    CHECK(message(setup).find("platen_friction above 0") != std::string::npos);
    setup.ends = SpecimenEnds::Bonded;
    setup.loading.unload = true;
    CHECK(message(setup).find("unload must be false") != std::string::npos);
    setup.loading.unload = false;
    setup.loading.path_angle = 0.1;
    CHECK(message(setup).find("two loads") != std::string::npos);
    setup.loading.path_angle = 0.0;
    setup.sides = SpecimenSides::Confined;
    CHECK(message(setup).find("free or periodic") != std::string::npos);
}

TEST_CASE("crush: a sheared cell between platens with friction closes its energy and resumes") {
    CrushSetup setup;
    setup.mesh = build_specimen(known_cells::body_centred(5e-3),
                                {.diameter = 0.6e-3, .beams = {.joints = Joints::None}});
    setup.polymer = {.name = "linear",
                     .source = "invented for the test",
                     .density_kg_per_m3 = 1200.0,
                     .law = LinearElastic{.E = E, .nu = nu, .void_fraction = 0.0}};
    setup.polymer.sources = {{"density_kg_per_m3", "invented"},
                             {"instantaneous_youngs_modulus_MPa", "invented"},
                             {"instantaneous_poissons_ratio", "invented"},
                             {"void_fraction", "invented"}};
    setup.section = SectionKind::Resultants;
    setup.platen_friction = 0.8;
    setup.loading = {.strain_rate_per_s = 0.01, .to_strain = 0.15, .shear_to_strain = 0.1};
    setup.numerics.rows_per_strain = 500.0;
    const CrushRecord whole = run_crush(setup);
    CHECK(whole.trusted());
    CHECK(whole.history.side_force_top_N.back() > 0.0);
    CHECK(whole.history.friction_energy_J.back() >= 0.0);

    // Stopped in the middle of the shear and resumed: the same bits.
    const test::ScratchFolder scratch;
    CrushHooks hooks{.checkpoint = scratch.path() / "state", .checkpoint_every_strain = 0.01};
    double seen = 0.0;
    hooks.progress = [&](const CrushProgress& p) { seen = p.share_done; };
    hooks.stop = [&] { return seen > 0.8; };
    const CrushRecord part = run_crush(setup, hooks);
    REQUIRE(part.end == CrushEnd::Interrupted);
    REQUIRE(part.history.slide_m.back() > 0.0);
    hooks.stop = {};
    const CrushRecord resumed = run_crush(setup, hooks);
    CHECK(resumed.history.side_force_top_N == whole.history.side_force_top_N);
    CHECK(resumed.history.stored_energy_J == whole.history.stored_energy_J);
}
