// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/uniaxial_table.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/crush/run_crush.hpp"
#include "solver/crush/setup_notes.hpp"
#include "solver/elements/thread_count.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double mu = 2e6;

/// A full block of the given size, elements of about `h`.
TetMesh block(const Vec3& size, double h, std::array<bool, 3> periodic = {}) {
    ImplicitSolid solid;
    solid.box = size;
    solid.periodic = periodic;
    solid.field = [](std::span<const Vec3>, std::span<double> values) {
        std::fill(values.begin(), values.end(), -1.0);
    };
    TetMesh mesh = mesh_solid(solid, {.element_size = h, .low_share = 0.0});
    mesh.solid_volume = size.prod();
    return mesh;
}

PolymerCard rubber(double bulk_over_shear) {
    return {.name = "test rubber",
            .source = "invented",
            .density_kg_per_m3 = 1100.0,
            .law = NeoHookean{.mu = mu, .kappa = bulk_over_shear * mu, .void_fraction = 0.0}};
}

/// First row at or past a strain.
std::size_t row_at(const CrushRecord& record, double strain) {
    const std::vector<double>& way = record.history.displacement_m;
    const auto at = std::lower_bound(way.begin(), way.end(), strain * record.height_m);
    REQUIRE(at != way.end());
    return static_cast<std::size_t>(at - way.begin());
}

} // namespace

// Problem    neo-Hookean block between frictionless platens (references E11)
// Exact      incompressible: stress = mu (l^-2 - l); with K = 50 mu the uniaxial state of the law
// Source     Treloar (1975); the uniaxial table is checked against closed forms in its own tests
// Tolerance  2 %: the contact layers at both platens, 0.15 of an edge thick, give by stress over
//            confined modulus, 4 % at the largest stress: together 0.4 % of the height, which is
//            1.9 % of the stress where it rises 4.7 times as fast as strain; the incompressible
//            formula differs from K = 50 mu by another 0.6 %
TEST_CASE("run_crush: a block of rubber follows the uniaxial law, from mesher to curve") {
    CrushSetup setup;
    setup.mesh = block(Vec3(2e-3, 2e-3, 3e-3), 1e-3);
    setup.polymer = rubber(50.0);
    setup.loading.strain_rate_per_s = 0.01;
    setup.loading.to_strain = 0.4;
    setup.polymer.valid.stretch_min = 0.7; // left at 30 % strain, which the record must say
    const CrushRecord record = run_crush(setup);
    CHECK(record.trusted());
    const std::string outside = outside_card(record.notes);
    CHECK(outside.starts_with("at 40")); // of the end
    CHECK(outside.ends_with("(card: 0.7 to any)"));
    CHECK(rel_err(record.mass_kg, 1100.0 * 12e-9) < 1e-12);
    const UniaxialTable law = make_uniaxial_table(setup.polymer.law);
    for (const double strain : {0.1, 0.2, 0.3, 0.39}) {
        const std::size_t row = row_at(record, strain);
        // a row's force is the mean over the row: half a row earlier
        const CrushHistory& h = record.history;
        const double l = 1.0 - 0.5 * (h.displacement_m[row] + h.displacement_m[row - 1]) / 3e-3;
        const double stress = h.force_top_N[row] / record.gross_area_m2;
        CHECK(rel_err(stress, -evaluate(law, l).stress_Pa) < 0.02);
        CHECK(rel_err(stress, mu * (1.0 / (l * l) - l)) < 0.03);
    }
    for (const GuardResult& guard : record.guards)
        CHECK_MESSAGE(guard.met, guard.name);
}

// Problem    an endless block glued to its platens, width free, pressed and then sheared
// Exact      the glue spreads with the width, so the state is even: rubber as above, no contact
//            layers; sheared, tau = mu g with g = slide / height of now, C_xz = a g and the width
//            of a free endless block a: P_xz = dW/dF_xz = mu g (neo-Hooke, references D6)
// Tolerance  1 %: inertia; K = 50 mu differs from the incompressible formula by 0.6 %
TEST_CASE("run_crush: glue of an endless specimen spreads with its free width") {
    CrushSetup setup;
    setup.mesh = block(Vec3(3e-3, 3e-3, 3e-3), 1e-3, {true, true, false});
    setup.polymer = rubber(50.0);
    setup.ends = SpecimenEnds::Bonded;
    setup.self_contact = false;
    setup.loading.strain_rate_per_s = 0.01;
    setup.loading.to_strain = 0.3;
    const CrushRecord pressed = run_crush(setup);
    CHECK(pressed.trusted());
    const UniaxialTable law = make_uniaxial_table(setup.polymer.law);
    for (const double strain : {0.1, 0.2, 0.29}) {
        const std::size_t row = row_at(pressed, strain);
        const CrushHistory& h = pressed.history;
        const double l = 1.0 - 0.5 * (h.displacement_m[row] + h.displacement_m[row - 1]) / 3e-3;
        CHECK(rel_err(h.force_top_N[row] / pressed.gross_area_m2, -evaluate(law, l).stress_Pa) <
              0.01);
    }
    setup.loading.to_strain = 0.2;
    setup.loading.shear_to_strain = 0.3;
    const CrushRecord sheared = run_crush(setup);
    CHECK(sheared.trusted());
    const std::size_t last = sheared.history.slide_m.size() - 1;
    const double g =
        0.5 * (sheared.history.slide_m[last] + sheared.history.slide_m[last - 1]) / 3e-3;
    CHECK(rel_err(sheared.history.side_force_top_N[last] / sheared.gross_area_m2, mu * g) < 0.01);
}

// Problem    the same with relaxing polymer: stored and dissipated energy add up to the work
TEST_CASE("run_crush: a relaxing block keeps its energy balance and gives back less") {
    CrushSetup setup;
    setup.mesh = block(Vec3(2e-3, 2e-3, 2e-3), 1e-3);
    setup.polymer = rubber(50.0);
    setup.polymer.prony = {{.share = 0.4, .time_s = 5.0}};
    setup.loading.strain_rate_per_s = 0.05;
    setup.loading.to_strain = 0.3;
    setup.loading.unload = true;
    const CrushRecord record = run_crush(setup);
    CHECK(record.trusted());
    const double lost = record.history.viscous_energy_J.back();
    const double peak = *std::max_element(record.history.external_work_J.begin(),
                                          record.history.external_work_J.end());
    CHECK(lost > 0.02 * peak);
    CHECK(lost < 0.4 * peak);
}

// Problem    the same with damage in place of relaxation, loaded, unloaded and measured by the
// ledger Exact      nearly uniform compression: lost is that of MullinsDamage at the largest
// energy, W =
//            mu/2 (l^2 + 2/l - 3), times the volume. Tolerance: platens without friction; what is
//            left is bulk viscosity and inertia, below 1 % of the work.
TEST_CASE("run_crush: a damaged block loses what its first loading took") {
    CrushSetup setup;
    setup.mesh = block(Vec3(2e-3, 2e-3, 2e-3), 1e-3);
    setup.polymer = rubber(50.0);
    const double mu = shear_modulus_Pa(setup.polymer);
    setup.polymer.damage = MullinsDamage{.r = 1.5, .m = 0.02 * mu, .beta = 0.1};
    setup.loading.strain_rate_per_s = 0.05;
    setup.loading.to_strain = 0.3;
    setup.loading.unload = true;
    const CrushRecord record = run_crush(setup);
    CHECK(record.trusted());
    const double l = 0.7, W = 0.5 * mu * (l * l + 2.0 / l - 3.0);
    const double lost = record.history.viscous_energy_J.back();
    CHECK(rel_err(lost, setup.polymer.damage->lost(W) * 8e-9) < 0.04);
    CHECK(lost > 0.1 * W * 8e-9);
}

// Problem    a porous block held in width, pressed until nine tenths of its void are gone
// Exact      F = diag(1, 1, l): P = mu J^(-2/3) 2/3 (l - 1/l) + U'(J), J = l, with U' of
//            DensifyingVolume written out: kappa/2 (J - 1/J) - kappa v y^2/(1 - y), y = (1 - J)/v
// Tolerance  1 %: bonded between the plates and periodic at a fixed width, the state is uniform;
//            left are inertia, and a row's mean against its middle. Steps: the tangent at the
//            end, kappa (1 + J^-2)/2 + kappa (1/(1 - y)^2 - 1), is 98 times that at rest, so the
//            step falls by a factor of at most 10, in the last tenth of the way only
TEST_CASE("run_crush: a porous block closes its void without collapse of the step") {
    constexpr double v = 0.3, kappa = 5.0 * mu;
    CrushSetup setup;
    setup.mesh = block(Vec3(2e-3, 2e-3, 2e-3), 1e-3, {true, true, false});
    setup.polymer = rubber(5.0);
    std::get<NeoHookean>(setup.polymer.law).void_fraction = v;
    setup.sides = SpecimenSides::Confined;
    setup.ends = SpecimenEnds::Bonded;
    setup.loading.strain_rate_per_s = 0.05;
    setup.loading.to_strain = 0.9 * v;
    const CrushRecord record = run_crush(setup);
    CHECK(record.trusted());
    for (const double strain : {0.05, 0.15, 0.22, 0.26, 0.268}) {
        const std::size_t row = row_at(record, strain);
        const CrushHistory& h = record.history;
        const double l = 1.0 - 0.5 * (h.displacement_m[row] + h.displacement_m[row - 1]) / 2e-3;
        const double y = (1.0 - l) / v;
        const double exact = -(mu * std::pow(l, -2.0 / 3.0) * 2.0 / 3.0 * (l - 1.0 / l) +
                               0.5 * kappa * (l - 1.0 / l) - kappa * v * y * y / (1.0 - y));
        INFO("strain ", 1.0 - l);
        CHECK(rel_err(h.force_top_N[row] / record.gross_area_m2, exact) < 0.01);
    }
    setup.loading.to_strain = 0.5 * v;
    const CrushRecord half = run_crush(setup);
    INFO("steps to half ", half.steps, ", to nine tenths ", record.steps);
    CHECK(record.steps < 5 * half.steps);
}

// Exact      the same bits as an unbroken run: stopped twice, with relaxation, damage, contact and
//            friction
TEST_CASE("run_crush: a solid goes on from its checkpoint to the same bits") {
    CrushSetup setup;
    setup.mesh = block(Vec3(2e-3, 2e-3, 2e-3), 1e-3);
    setup.polymer = rubber(20.0);
    setup.polymer.prony = {{.share = 0.4, .time_s = 5.0}};
    setup.polymer.damage = MullinsDamage{.r = 1.5, .m = 1e4, .beta = 0.1};
    for (const std::string& key : value_keys(setup.polymer))
        setup.polymer.sources[key] = "invented";
    setup.platen_friction = 0.3;
    setup.loading.strain_rate_per_s = 0.05;
    setup.loading.to_strain = 0.2;
    const CrushRecord whole = run_crush(setup);
    const test::ScratchFolder scratch;
    CrushHooks hooks;
    hooks.checkpoint = scratch / "state";
    for (int part = 0; part < 2; ++part) {
        Index asked = 0; // every 256 steps
        hooks.stop = [&asked] { return ++asked > 3; };
        CHECK(run_crush(setup, hooks).end == CrushEnd::Interrupted);
    }
    hooks.stop = {};
    const CrushRecord resumed = run_crush(setup, hooks);
    CHECK(resumed.trusted());
    CHECK(resumed.steps == whole.steps);
    CHECK(resumed.history.force_top_N == whole.history.force_top_N);
    CHECK(resumed.history.viscous_energy_J == whole.history.viscous_energy_J);
}

// Exact      the same numbers, bit by bit, on a mesh large enough that threads share it
TEST_CASE("run_crush: solids have the same bits for 1, 2 and 3 threads") {
    CrushSetup setup;
    setup.mesh = block(Vec3(2e-3, 2e-3, 2e-3), 0.4e-3);
    REQUIRE(n_elements(setup.mesh) > small_job);
    setup.polymer = rubber(20.0);
    setup.loading.speed_m_per_s = 5.0;
    setup.loading.to_strain = 0.02;
    std::vector<std::vector<double>> forces;
    for (const int threads : {1, 2, 3}) {
        use_threads(threads);
        const CrushRecord record = run_crush(setup);
        CHECK(record.history.force_top_N.back() > 0.0);
        forces.push_back(record.history.force_top_N);
        CHECK(forces.back() == forces.front());
    }
    use_threads(1);
}
