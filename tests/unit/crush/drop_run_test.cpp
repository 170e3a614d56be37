// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/drop_run.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/specimens/specimen.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

using namespace cellgrade;
using test::rel_err;

namespace {

constexpr double E = 50e6, rho = 1200.0, pi = std::numbers::pi;

PolymerCard linear(double poisson = 0.45) {
    return {.name = "linear",
            .source = "invented for the test",
            .density_kg_per_m3 = rho,
            .law = LinearElastic{.E = E, .nu = poisson, .void_fraction = 0.0}};
}

CrushSetup elastic_pad(SpecimenMesh mesh) {
    CrushSetup pad;
    pad.mesh = std::move(mesh);
    pad.polymer = linear();
    pad.section = SectionKind::Resultants;
    pad.ends = SpecimenEnds::Bonded;
    pad.self_contact = false;
    return pad;
}

/// A stubby column, glued below: far from buckling, and a spring of E A / L. Elements longer than
/// the radius, so that the tip alone touches.
constexpr double column_length = 10e-3, column_radius = 2.4e-3;
constexpr double column_area = pi * column_radius * column_radius;
constexpr double column_mass = rho * column_area * column_length;

BeamMesh column() {
    constexpr int n = 4;
    BeamMesh mesh;
    mesh.box = Vec3(2.0 * column_radius, 2.0 * column_radius, column_length);
    for (int i = 0; i <= n; ++i) {
        mesh.nodes.emplace_back(column_radius, column_radius, column_length * i / n);
        mesh.is_joint.push_back(i == 0 || i == n);
        if (i > 0)
            mesh.elements.push_back({.a = i - 1, .b = i, .radius = column_radius, .strut = 0});
    }
    mesh.bottom = {0};
    mesh.top = {n};
    mesh.solid_volume = mesh.centre_line_volume = column_area * column_length;
    return mesh;
}

DropSetup on_column(double mass_ratio, double speed) {
    DropSetup drop{.pad = elastic_pad(column())};
    drop.striker = {
        .mass_kg = mass_ratio * column_mass, .speed_m_per_s = speed, .with_weight = false};
    drop.numerics = {.row_interval_s = 1e-4, .channel_class_Hz = 0.0, .time_limit_s = 1.0};
    return drop;
}

/// Column and contact in series; the stiffness of the contact at first touch is the member's.
double series_stiffness(const DropSetup& drop, double spring) {
    const DropModel model(drop);
    const double contact = model.striker().contact().members().back().stiffness;
    return 1.0 / (1.0 / spring + 1.0 / contact);
}

/// One body-centred cell between support and striker, struck at 2 m/s.
DropSetup on_cell(StrikerFace face) {
    const SpecimenPlan plan{.diameter = 0.6e-3, .beams = {.joints = Joints::None}};
    DropSetup drop{.pad = elastic_pad(build_specimen(find_cell("body_centred"), plan))};
    drop.pad.ends = SpecimenEnds::Platen;
    drop.pad.self_contact = true;
    drop.pad.platen_friction = drop.pad.strut_friction = 0.3;
    drop.striker = {.face = face,
                    .radius_m = face == StrikerFace::Sphere ? 8e-3 : 0.0,
                    .mass_kg = 2e-4,
                    .speed_m_per_s = 2.0};
    drop.numerics.row_interval_s = 2e-5;
    return drop;
}

const GuardResult& guard(const DropRecord& record, const std::string& name) {
    const auto found = std::find_if(record.guards.begin(), record.guards.end(),
                                    [&](const GuardResult& g) { return g.name == name; });
    REQUIRE(found != record.guards.end());
    return *found;
}

} // namespace

// Problem    a rigid mass falls on a linear spring and is thrown back (references C11)
// Exact      peak force v sqrt(k m), depth v sqrt(m/k), contact time pi sqrt(m/k), rebound at v;
//            k: column E A / L in series with the contact
// Source     energy; series springs
// Tolerance  0.1 %, that of references C11; mass ratio 1e4. The column moves with a third of its
//            mass: 1e-4/6 in time and depth. Waves run up and down it with 2 sqrt(1e-4) of the peak
//            force at first; bulk viscosity and rows of a round trip each leave a hundredth of
//            them after the hundred round trips to the turn. Penalty: u = 0.02, 4e-4 of stiffness.
//            Times are told by rows, 1/175 of the pulse: 1 %; the pulse is taken between hundredths
//            of the peak, which leaves out 2 asin(0.01)/pi of it.
TEST_CASE("run_drop: a mass on a column is a mass on a spring") {
    const DropSetup drop = on_column(1e4, 0.004);
    const double m = drop.striker.mass_kg, v = drop.striker.speed_m_per_s;
    const double k = series_stiffness(drop, E * column_area / column_length);
    const DropRecord record = run_drop(drop);
    CHECK(record.trusted());
    CHECK(record.end == DropEnd::Left);
    const DropTraits& t = record.traits;
    CHECK(rel_err(t.largest_depth_m, v * std::sqrt(m / k)) < 1e-3);
    CHECK(rel_err(t.peak_force_N, v * std::sqrt(k * m)) < 1e-3);
    CHECK(rel_err(t.peak_acceleration_g, v * std::sqrt(k / m) / units::standard_gravity) < 0.01);
    CHECK(rel_err(t.pulse_s, pi * std::sqrt(m / k) * (1.0 - 2.0 * std::asin(0.01) / pi)) < 0.01);
    CHECK(rel_err(t.time_of_largest_depth_s, 0.5 * pi * std::sqrt(m / k)) < 5e-3);
    CHECK(rel_err(t.rebound_speed_m_per_s, v) < 1e-3);
    CHECK(rel_err(t.impact_energy_J, 0.5 * m * v * v) < 1e-12);
    CHECK(rel_err(t.absorbed_energy_J, t.impact_energy_J) < 1e-3);
    CHECK(rel_err(t.returned_share, 1.0) < 4e-3);
    CHECK(guard(record, "energy_closure").value < 1e-4);
    CHECK(guard(record, "momentum_balance").value < 1e-10);
    CHECK(!record.past_densification);
}

// Problem    the same under its weight (the conventions of references C11 and H9)
// Exact      depth (m g + sqrt((m g)^2 + k m v^2)) / k; an accelerometer reads force / mass
// Tolerance  mass ratio 300: waves keep up to 1/900 of the energy, half of that in depth; penalty
//            u = 0.02, 4e-4 of the contact
TEST_CASE("run_drop: weight goes on to press") {
    DropSetup drop = on_column(300.0, 0.01);
    drop.numerics.row_interval_s = 2e-5;
    drop.striker.with_weight = true;
    const double m = drop.striker.mass_kg, v = drop.striker.speed_m_per_s;
    const double k = series_stiffness(drop, E * column_area / column_length);
    const double weight = m * units::standard_gravity;
    const DropRecord record = run_drop(drop);
    CHECK(record.trusted());
    const double depth = (weight + std::sqrt(weight * weight + k * m * v * v)) / k;
    CHECK(rel_err(record.traits.largest_depth_m, depth) < 2e-3);
    CHECK(rel_err(record.traits.absorbed_energy_J, 0.5 * m * v * v + weight * depth) < 2e-3);
    CHECK(guard(record, "energy_closure").value < 1e-4);
    CHECK(guard(record, "momentum_balance").value < 1e-10);
}

// Problem    a large ball on a bed of independent columns
// Exact      column i is pressed by z - h_i, h_i = R - sqrt(R^2 - r_i^2); at the turn the energy of
//            all is that of the fall: sum k (z - h_i)^2 / 2 = m v^2 / 2, force sum k (z - h_i)
// Source     Winkler foundation, as in Johnson (1985), Contact Mechanics, sec. 4.3 (from memory)
// Tolerance  depth 1 %: the ball presses sideways too, by the slope r/R < 0.02 of its surface, and
//            a tip yields sideways (L/r = 4.4, so 20 times as easily as along): (r/R)^2 20 = 0.8 %
//            of the outermost columns, which carry least. Force 2 %: waves, sqrt(mass ratio) = 1 %
TEST_CASE("run_drop: a ball on a bed of columns is a ball on a Winkler foundation") {
    constexpr double length = 2.2e-3, radius = 0.5e-3, spacing = 1.2e-3, R = 0.2;
    constexpr int n = 7;
    BeamMesh mesh;
    mesh.box = Vec3(n * spacing, n * spacing, length);
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) {
            const double x = (i + 0.5) * spacing, y = (j + 0.5) * spacing;
            const auto first = static_cast<Index>(mesh.nodes.size());
            for (int e = 0; e <= 2; ++e) {
                mesh.nodes.emplace_back(x, y, 0.5 * e * length);
                mesh.is_joint.push_back(e != 1);
                if (e > 0)
                    mesh.elements.push_back(
                        {.a = first + e - 1, .b = first + e, .radius = radius, .strut = i * n + j});
            }
            mesh.bottom.push_back(first);
            mesh.top.push_back(first + 2);
        }
    constexpr double area = pi * radius * radius;
    mesh.solid_volume = mesh.centre_line_volume = n * n * area * length;
    DropSetup drop{.pad = elastic_pad(mesh)};
    drop.striker = {.face = StrikerFace::Sphere,
                    .radius_m = R,
                    .mass_kg = 1e4 * rho * mesh.solid_volume,
                    .speed_m_per_s = 0.008,
                    .with_weight = false};
    drop.numerics = {.row_interval_s = 2e-5, .channel_class_Hz = 0.0, .time_limit_s = 1.0};
    const double k = series_stiffness(drop, E * area / length);
    const double m = drop.striker.mass_kg, v = drop.striker.speed_m_per_s;
    const auto sums = [&](double z) {
        double force = 0.0, energy = 0.0;
        int touched = 0;
        for (int i = 0; i < n; ++i)
            for (int j = 0; j < n; ++j) {
                const double r = spacing * std::hypot(i - 3, j - 3);
                const double press = z - (R - std::sqrt(R * R - r * r));
                force += press > 0.0 ? k * press : 0.0;
                energy += press > 0.0 ? 0.5 * k * press * press : 0.0;
                touched += press > 0.0 ? 1 : 0;
            }
        return std::array<double, 3>{force, energy, static_cast<double>(touched)};
    };
    double low = 0.0, high = length;
    for (int halving = 0; halving < 60; ++halving) {
        const double z = 0.5 * (low + high);
        (sums(z)[1] < 0.5 * m * v * v ? low : high) = z;
    }
    REQUIRE(sums(low)[2] > 12); // several rings of columns, and not yet all
    REQUIRE(sums(low)[2] < n * n);
    const DropRecord record = run_drop(drop);
    CHECK(record.trusted());
    CHECK(rel_err(record.traits.largest_depth_m, low) < 0.01);
    CHECK(rel_err(record.traits.peak_force_N, sums(low)[0]) < 0.02);
    CHECK(guard(record, "energy_closure").value < 1e-3);
}

// Problem    a striker slides along the pad while it is thrown back
// Exact      Coulomb: change of momentum along = mu times that across, as long as it slides
// Tolerance  0.5 %: the stick spring fills at mu k v_z/k_t, less than the striker slides, so slip
//            begins with the touch; the column leans by a fifth of the way and swings
TEST_CASE("run_drop: the sideways impulse of a sliding striker is mu times the upright one") {
    constexpr double mu = 0.05, across_before = 0.04, angle = pi / 3.0;
    DropSetup drop = on_column(100.0, across_before / std::cos(angle));
    drop.numerics.row_interval_s = 1e-5;
    drop.striker.path_angle = angle;
    drop.striker.guided = false;
    drop.striker.friction = mu;
    const DropRecord record = run_drop(drop);
    CHECK(record.trusted());
    const DropTraits& t = record.traits;
    const double across = across_before + t.rebound_speed_m_per_s;
    REQUIRE(across_before * std::tan(angle) > 2.0 * mu * across); // it goes on sliding
    CHECK(rel_err(-t.slide_speed_change_m_per_s, mu * across) < 0.005);
    CHECK(guard(record, "energy_closure").value < 1e-3);
    CHECK(record.history.friction_energy_J.back() > 0.0);
}

TEST_CASE("run_drop: a cell takes a flat and a round blow, energies and momentum closed") {
    for (const StrikerFace face : {StrikerFace::Flat, StrikerFace::Sphere}) {
        const DropRecord record = run_drop(on_cell(face));
        INFO("sphere: ", face == StrikerFace::Sphere);
        CHECK_MESSAGE(record.trusted(), drop_verdict(record));
        CHECK(record.end == DropEnd::Left);
        CHECK(guard(record, "energy_closure").value < 1e-3);
        CHECK(guard(record, "momentum_balance").value < 1e-9);
        const DropHistory& h = record.history;
        CHECK(record.traits.largest_strain > 0.1);
        CHECK(record.traits.restitution > 0.3);
        CHECK(record.traits.restitution < 1.0);
        // The cell and the blow are symmetric about both middle planes.
        const double force = record.traits.peak_force_N;
        for (const double side : h.side_force_N)
            CHECK(std::abs(side) < 1e-6 * force);
        // What pushes the striker pushes the support, but for the inertia of the cell.
        double above = 0.0, below = 0.0;
        for (std::size_t i = 1; i < h.time_s.size(); ++i) {
            above += h.contact_force_N[i] * (h.time_s[i] - h.time_s[i - 1]);
            below += h.support_force_N[i] * (h.time_s[i] - h.time_s[i - 1]);
        }
        CHECK(rel_err(below, above) < 0.1);
    }
}

// Problem    an endless pad of fixed width under a flat striker, of one cell or of four across
// Exact      the same motion, forces four times as large, while no mode longer than the cell grows.
//            (A free width has the inertia of the modelled cells, which is not the same.)
// Tolerance  rounding, grown over some thousand steps: 1e-6 of the peak
TEST_CASE("run_drop: an endless pad is the same however many of its cells are modelled") {
    std::vector<DropRecord> records;
    for (const Index across : {1, 2}) {
        const SpecimenPlan plan{.tiles = {across, across, 2},
                                .sides = Sides::Periodic,
                                .diameter = 0.6e-3,
                                .beams = {.joints = Joints::None}};
        DropSetup drop = on_cell(StrikerFace::Flat);
        drop.pad.mesh = build_specimen(find_cell("body_centred"), plan);
        drop.pad.ends = SpecimenEnds::Bonded;
        drop.pad.sides = SpecimenSides::Confined;
        drop.striker.mass_kg = 2e-4 * across * across;
        drop.striker.speed_m_per_s = 0.5;
        drop.striker.with_weight = true;
        drop.numerics.channel_class_Hz = 0.0;
        records.push_back(run_drop(drop));
        CHECK_MESSAGE(records.back().trusted(), drop_verdict(records.back()));
        CHECK(guard(records.back(), "momentum_balance").value < 1e-9);
        CHECK(guard(records.back(), "energy_closure").value < 1e-3);
    }
    const DropTraits &one = records[0].traits, &four = records[1].traits;
    CHECK(one.largest_strain > 0.02);
    CHECK(rel_err(four.peak_acceleration_g, one.peak_acceleration_g) < 1e-6);
    CHECK(rel_err(four.peak_force_N, 4.0 * one.peak_force_N) < 1e-6);
    CHECK(rel_err(four.largest_depth_m, one.largest_depth_m) < 1e-6);
    CHECK(rel_err(four.rebound_speed_m_per_s, one.rebound_speed_m_per_s) < 1e-6);
}

TEST_CASE("run_drop: same bits for 1, 2 and 3 threads") {
    std::vector<DropRecord> records;
    for (const int threads : {1, 2, 3}) {
        omp_set_num_threads(threads);
        records.push_back(run_drop(on_cell(StrikerFace::Sphere)));
    }
    omp_set_num_threads(1);
    for (const DropRecord& record : records)
        for (const DropHistoryField& field : drop_history_fields())
            CHECK(record.history.*field.member == records.front().history.*field.member);
}

// Problem    a turning striker: a ball hits beside the middle of a column bed's strut
// Exact      angular momentum about y of the striker changes by the torque's impulse alone; with
//            friction 0 the force goes through the centre of a ball, which then never turns
TEST_CASE("run_drop: a ball without friction slides off without turning; with friction it turns") {
    DropSetup drop = on_cell(StrikerFace::Sphere);
    drop.striker.mass_kg = 5e-5;
    drop.striker.guided = false;
    drop.striker.inertia_kg_m2 = 0.4 * drop.striker.mass_kg * 64e-6; // a full ball
    drop.striker.path_angle = 30.0 * pi / 180.0;
    drop.striker.friction = 0.0;
    const DropRecord smooth = run_drop(drop);
    CHECK_MESSAGE(smooth.trusted(), drop_verdict(smooth));
    for (const double rate : smooth.history.turn_rate_rad_per_s)
        CHECK(std::abs(rate) < 1e-9);
    drop.striker.friction = 0.4;
    const DropRecord rough = run_drop(drop);
    CHECK_MESSAGE(rough.trusted(), drop_verdict(rough));
    // it moves along +x, friction at its foot drags to -x: that turns it about +y (z towards x)
    CHECK(rough.traits.angular_speed_change_rad_per_s > 1.0);
    CHECK(guard(rough, "energy_closure").met); // stick springs turn with the ball's surface
}

TEST_CASE("run_drop: a pad that cannot hold the blow bottoms out and says so") {
    DropSetup drop = on_cell(StrikerFace::Flat);
    drop.striker.mass_kg = 0.05;
    const DropRecord record = run_drop(drop);
    CHECK(record.end == DropEnd::Failed);
    CHECK(!record.trusted());
    CHECK(record.failure.find("bottoms out") != std::string::npos);
    CHECK(record.past_densification);
    CHECK(std::isnan(record.traits.rebound_speed_m_per_s));
}

TEST_CASE("run_drop: a drop that is cut short while it still falls is no result") {
    DropSetup drop = on_cell(StrikerFace::Flat);
    drop.numerics.time_limit_s = 2e-4;
    const DropRecord record = run_drop(drop);
    CHECK(record.end == DropEnd::TimeLimit);
    CHECK(!record.trusted());
    CHECK(!guard(record, "still_falling").met);
}

// Problem    a block of tetrahedra under a flat striker, free sides
// Exact      at nu = 0 a spring E A / L; both contact layers in series, each at least as stiff as
//            a film 0.15 of a surface edge thick: 2 * 0.075 mm of 3 mm
// Tolerance  the layers make it up to 5 % softer, the depth up to 2.5 % deeper, and never stiffer
TEST_CASE("run_drop: a solid block is the spring that it is") {
    const Vec3 size(2e-3, 2e-3, 3e-3);
    ImplicitSolid solid;
    solid.box = size;
    solid.field = [](std::span<const Vec3>, std::span<double> values) {
        std::fill(values.begin(), values.end(), -1.0);
    };
    TetMesh mesh = mesh_solid(solid, {.element_size = 1e-3, .low_share = 0.0});
    mesh.solid_volume = size.prod();
    DropSetup drop{.pad = elastic_pad(mesh)};
    drop.pad.polymer = linear(0.0);
    drop.striker = {
        .mass_kg = 1e3 * rho * size.prod(), .speed_m_per_s = 0.02, .with_weight = false};
    drop.numerics = {.row_interval_s = 1e-5, .channel_class_Hz = 0.0, .time_limit_s = 1.0};
    const DropRecord record = run_drop(drop);
    CHECK_MESSAGE(record.trusted(), drop_verdict(record));
    const double k = E * size.x() * size.y() / size.z(), m = drop.striker.mass_kg;
    const double depth = drop.striker.speed_m_per_s * std::sqrt(m / k);
    CHECK(record.traits.largest_depth_m > 0.999 * depth);
    CHECK(record.traits.largest_depth_m < 1.03 * depth);
    CHECK(guard(record, "energy_closure").value < 1e-3);
    drop.striker.face = StrikerFace::Sphere;
    drop.striker.radius_m = 1e-3;
    CHECK_THROWS_WITH_AS((void)run_drop(drop), doctest::Contains("not flat between surface nodes"),
                         Error);
}

TEST_CASE("run_drop: what cannot be run is refused with its value") {
    const DropSetup good = on_cell(StrikerFace::Sphere);
    const auto refused = [&](auto change, const char* words) {
        DropSetup drop = good;
        change(drop);
        CHECK_THROWS_WITH_AS((void)run_drop(drop), doctest::Contains(words), Error);
    };
    refused([](DropSetup& d) { d.striker.mass_kg = 0.0; }, "mass is 0 kg");
    refused([](DropSetup& d) { d.striker.speed_m_per_s = -1.0; }, "speed is -1 m/s");
    refused([](DropSetup& d) { d.striker.path_angle = 0.3; }, "guided = false");
    refused([](DropSetup& d) { d.striker.offset_x_m = 0.1; }, "passes by");
    refused([](DropSetup& d) { d.pad.ends = SpecimenEnds::Periodic; }, "lies on a support");
    refused([](DropSetup& d) { d.numerics.row_interval_s = 2e-4; }, "too few");
    refused([](DropSetup& d) { d.pad.loading.strain_rate_per_s = 0.01; }, "no strain rate");
    refused([](DropSetup& d) { d.striker.friction = 3.0; }, "friction is 3");
}
