// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/run_crush.hpp"

#include "meshes/specimens/specimen.hpp"
#include "solver/cli/verify/known_cells.hpp"
#include "solver/crush/setup_notes.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>

using namespace cellgrade;

namespace {

/// One body-centred cell between platens, its inner nodes moved a little so that nothing is
/// symmetric; elastic, quasi-static. `scale` multiplies every length.
CrushSetup one_cell(double to_strain, double scale = 1.0) {
    const double edge = 5e-3 * scale;
    const SpecimenPlan plan{.diameter = 0.12 * edge, .beams = {.joints = Joints::None}};
    CrushSetup setup;
    setup.mesh = build_specimen(known_cells::body_centred(edge), plan);
    auto& nodes = std::get<BeamMesh>(setup.mesh).nodes;
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        Vec3& x = nodes[i];
        const double phase = static_cast<double>(i);
        if (x.z() > 0.05 * edge && x.z() < 0.95 * edge)
            x += 2e-3 * edge * Vec3(std::sin(phase), std::cos(2.0 * phase), 0.0);
    }
    setup.polymer = {.name = "linear",
                     .source = "invented for the test",
                     .density_kg_per_m3 = 1200.0,
                     .law = LinearElastic{.E = 50e6, .nu = 0.45, .void_fraction = 0.0}};
    setup.section = SectionKind::Resultants;
    setup.platen_friction = 0.3;
    setup.strut_friction = 0.3;
    setup.loading = {.strain_rate_per_s = 0.01, .to_strain = to_strain};
    setup.numerics.rows_per_strain = 500.0;
    return setup;
}

const GuardResult& guard(const CrushRecord& record, const std::string& name) {
    const auto found = std::find_if(record.guards.begin(), record.guards.end(),
                                    [&](const GuardResult& g) { return g.name == name; });
    REQUIRE(found != record.guards.end());
    return *found;
}

/// Largest difference of the force curves over the largest force.
double curve_distance(const CrushRecord& a, const CrushRecord& b, double force_scale = 1.0) {
    const std::vector<double>&fa = a.history.force_top_N, &fb = b.history.force_top_N;
    REQUIRE(fa.size() == fb.size());
    double worst = 0.0, largest = 0.0;
    for (std::size_t i = 0; i < fa.size(); ++i) {
        worst = std::max(worst, std::abs(fa[i] * force_scale - fb[i]));
        largest = std::max(largest, std::abs(fb[i]));
    }
    return worst / largest;
}

} // namespace

TEST_CASE("run_crush: a cell is crushed and unloaded with its energies closed at every row") {
    CrushSetup setup = one_cell(0.3);
    setup.loading.unload = true;
    const CrushRecord record = run_crush(setup);
    CHECK(record.end == CrushEnd::Unloaded);
    CHECK(record.failure.empty());
    CHECK(record.trusted());
    const CrushHistory& h = record.history;
    CHECK(record.turn_row > 140);
    CHECK(record.turn_row < static_cast<Index>(h.time_s.size()));
    const double largest = *std::max_element(h.external_work_J.begin(), h.external_work_J.end());
    double worst = 0.0;
    for (std::size_t i = 0; i < h.time_s.size(); ++i)
        worst = std::max(worst, std::abs(h.external_work_J[i] - h.kinetic_energy_J[i] -
                                         h.stored_energy_J[i] - h.viscous_energy_J[i] -
                                         h.contact_energy_J[i] - h.friction_energy_J[i] -
                                         h.damping_energy_J[i]));
    CHECK(worst < 0.01 * largest);
    CHECK(guard(record, "energy_closure").value < 0.01);
    // The work of the platen is the area under its own curve: rows every 0.2 % strain.
    double area = 0.0;
    for (Index i = 1; i < record.turn_row; ++i)
        area += h.force_top_N[i] * (h.displacement_m[i] - h.displacement_m[i - 1]);
    CHECK(test::rel_err(area, h.external_work_J[record.turn_row - 1]) < 0.01);
    CHECK(*std::max_element(h.force_top_N.begin(), h.force_top_N.end()) > 0.0);
}

// Between glued ends a relaxed specimen pulls before it is back at its height: the record must hold
// the row in which the force is gone, or no trait can tell where that was.
TEST_CASE("run_crush: the unloading of a glued, relaxing specimen ends with its force gone") {
    CrushSetup setup = one_cell(0.1);
    setup.ends = SpecimenEnds::Bonded;
    setup.self_contact = false;
    setup.section = SectionKind::Fibres;
    setup.polymer.prony = {{.share = 0.5, .time_s = 5.0}};
    setup.loading.unload = true;
    const CrushRecord record = run_crush(setup);
    CHECK(record.end == CrushEnd::Unloaded);
    const std::vector<double>& force = record.history.force_top_N;
    CHECK(force.back() < 1e-3 * *std::max_element(force.begin(), force.end()));
    CHECK(record.history.displacement_m.back() > 0.005 * record.height_m);
}

TEST_CASE("run_crush: both platens feel the same force in a slow crush") {
    const CrushRecord record = run_crush(one_cell(0.2));
    REQUIRE(record.trusted());
    const CrushHistory& h = record.history;
    double top = 0.0, bottom = 0.0;
    for (std::size_t i = 0; i < h.time_s.size(); ++i)
        if (h.displacement_m[i] > 0.05 * record.height_m) {
            top += h.force_top_N[i];
            bottom += h.force_bottom_N[i];
        }
    CHECK(test::rel_err(bottom, top) < 0.01);
    CHECK(guard(record, "platen_balance").value < 0.03);
    CHECK(guard(record, "kinetic_share").value < 0.05);
}

TEST_CASE("run_crush: same bits for 1, 2 and 3 threads") {
    CrushSetup setup = one_cell(0.03);
    setup.numerics.solver_speed_m_per_s = 0.5; // a hundred steps: teams of threads are slow here
    std::vector<CrushRecord> records;
    for (const int threads : {1, 2, 3}) {
        omp_set_num_threads(threads);
        records.push_back(run_crush(setup));
    }
    omp_set_num_threads(1);
    for (const CrushRecord& record : records) {
        CHECK(record.steps == records.front().steps);
        CHECK(record.history.force_top_N == records.front().history.force_top_N);
        CHECK(record.history.stored_energy_J == records.front().history.stored_energy_J);
        CHECK(record.history.friction_energy_J == records.front().history.friction_energy_J);
    }
}

// Tolerance  rounding differs in the two runs and grows with the steps, far below 1e-6 here.
TEST_CASE("run_crush: a mirrored or turned specimen gives the same curve") {
    const CrushSetup plain = one_cell(0.08);
    CrushSetup mirrored = plain, turned = plain;
    const Vec3 size = box(plain.mesh);
    for (Vec3& x : std::get<BeamMesh>(mirrored.mesh).nodes)
        x.x() = size.x() - x.x();
    auto& turned_mesh = std::get<BeamMesh>(turned.mesh);
    for (Vec3& x : turned_mesh.nodes)
        x = Vec3(size.y() - x.y(), x.x(), x.z());
    std::swap(turned_mesh.box.x(), turned_mesh.box.y());
    const CrushRecord record = run_crush(plain);
    CHECK(curve_distance(run_crush(mirrored), record) < 1e-6);
    CHECK(curve_distance(run_crush(turned), record) < 1e-6);
}

// Lengths times s at the same strain rate: forces times s^2, the same strains and stresses.
TEST_CASE("run_crush: no size is built in; a thousandfold specimen gives the same stress curve") {
    const CrushRecord record = run_crush(one_cell(0.08));
    for (const double scale : {1e-3, 1e3}) {
        const CrushRecord scaled = run_crush(one_cell(0.08, scale));
        CHECK(scaled.trusted());
        CHECK(curve_distance(scaled, record, 1.0 / (scale * scale)) < 1e-6);
    }
}

TEST_CASE("run_crush: a rate and a temperature outside the polymer card are told") {
    CrushSetup setup = one_cell(0.002);
    CHECK(outside_card(run_crush(setup).notes).empty());
    setup.polymer.valid.rate_max_per_s = 0.5 * setup.loading.strain_rate_per_s.value();
    setup.polymer.valid.temperature_min_K = 283.15;
    setup.polymer.valid.temperature_max_K = 313.15;
    setup.temperature_K = 278.15;
    const std::string told = outside_card(run_crush(setup).notes);
    CHECK(told == fmt::format("nominal strain rate {:.3g} 1/s (card: up to {:.3g} 1/s); 5 C (card: "
                              "10 to 40 C)",
                              *setup.loading.strain_rate_per_s,
                              *setup.polymer.valid.rate_max_per_s));
}

TEST_CASE("run_crush: a run that cannot be made slow enough says so and is not trusted") {
    CrushSetup setup = one_cell(0.1);
    setup.limits.kinetic_share = 1e-7;
    setup.numerics.solver_speed_m_per_s = 0.2;
    const CrushRecord record = run_crush(setup);
    CHECK_FALSE(record.trusted());
    CHECK_FALSE(guard(record, "kinetic_share").met);
    INFO(record.failure);
    REQUIRE(record.notes.size() == 6);
    CHECK(record.notes.front().find("halved the platen speed") != std::string::npos);
    CHECK(record.history.displacement_m.back() >= 0.097 * record.height_m);
}

TEST_CASE("run_crush: a run that starts too fast goes back, slows down and says so") {
    CrushSetup setup = one_cell(0.1);
    setup.limits.kinetic_share = 1e-3;
    setup.numerics.solver_speed_m_per_s = 0.4;
    const CrushRecord record = run_crush(setup);
    INFO(record.failure);
    CHECK(record.trusted());
    CHECK(guard(record, "kinetic_share").value <= 1e-3);
    REQUIRE_FALSE(record.notes.empty());
    CHECK(record.notes.front().find("halved the platen speed") != std::string::npos);
    // Going back leaves no row twice.
    const std::vector<double>& way = record.history.displacement_m;
    CHECK(std::adjacent_find(way.begin(), way.end(), std::greater_equal<>()) == way.end());
    CHECK(way.back() >= 0.097 * record.height_m);
}

TEST_CASE("run_crush: a run past an enforced limit ends, reports it and is not trusted") {
    CrushSetup setup = one_cell(0.1);
    setup.limits.energy_closure = 1e-12;
    const CrushRecord record = run_crush(setup);
    CHECK(record.end == CrushEnd::TargetStrain);
    CHECK_FALSE(guard(record, "energy_closure").met);
    CHECK_FALSE(record.trusted());
}

TEST_CASE("run_crush: an impact reports inertia without enforcing it") {
    CrushSetup setup = one_cell(0.1);
    setup.loading = {.speed_m_per_s = 6.2, .to_strain = 0.3};
    const CrushRecord record = run_crush(setup);
    INFO(record.failure, " closure ", guard(record, "energy_closure").value);
    CHECK(record.trusted());
    CHECK_FALSE(guard(record, "kinetic_share").enforced);
    CHECK_FALSE(guard(record, "platen_balance").enforced);
    CHECK(guard(record, "platen_balance").value > 0.03); // 3 % of the bar speed
    CHECK(record.clock_ratio == 1.0);
    CHECK(record.notes.empty());
}

TEST_CASE("run_crush: penetration past its limit ends the run as failed, with the reason") {
    CrushSetup setup = one_cell(0.3);
    setup.limits.penetration = 1e-4;
    const CrushRecord record = run_crush(setup);
    CHECK(record.end == CrushEnd::Failed);
    CHECK_FALSE(record.trusted());
    CHECK(record.failure.find("penetrates") != std::string::npos);
    CHECK(record.failure.find("limit") != std::string::npos);
    CHECK_FALSE(guard(record, "penetration").met);
}

TEST_CASE("run_crush: a setup that cannot be run is refused with what is wrong") {
    CrushSetup both = one_cell(0.1);
    both.loading.speed_m_per_s = 1.0;
    CHECK(test::message_of([&] { (void)run_crush(both); }).find("not both") != std::string::npos);
    CrushSetup ends = one_cell(0.1);
    ends.ends = SpecimenEnds::Periodic;
    CHECK(test::message_of([&] { (void)run_crush(ends); }).find("periodic") != std::string::npos);
    CrushSetup far = one_cell(0.99);
    CHECK(test::message_of([&] { (void)run_crush(far); }).find("to_strain") != std::string::npos);
    CrushSetup hollow = one_cell(0.1);
    std::get<BeamMesh>(hollow.mesh).top.clear();
    CHECK(test::message_of([&] { (void)run_crush(hollow); }).find("upper face") !=
          std::string::npos);
}
