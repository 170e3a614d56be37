// SPDX-License-Identifier: Apache-2.0
#include "solver/results/crush_file.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/sha256.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/hdf5.hpp"
#include "tests/support/sample_results.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

namespace {

bool same(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

} // namespace

TEST_CASE("crush file: history, curve, traits and guards come back bit for bit") {
    const test::ScratchFolder folder;
    const CrushResult want = test::sample_result();
    write_crush_file(folder / "r.h5", want);
    const CrushResult got = read_crush_file(folder / "r.h5");
    for (const HistoryField& field : history_fields())
        CHECK_MESSAGE(got.record.history.*field.member == want.record.history.*field.member,
                      field.name);
    CHECK(got.curve.nominal_strain == want.curve.nominal_strain);
    CHECK(got.curve.nominal_stress_Pa == want.curve.nominal_stress_Pa);
    CHECK(got.curve.turn == want.curve.turn);
    for (const TraitField& field : trait_fields())
        CHECK_MESSAGE(same(got.traits.*field.member, want.traits.*field.member), field.name);
    REQUIRE(got.record.guards.size() == 2);
    CHECK(got.record.guards[1].name == "kinetic_share");
    CHECK(got.record.guards[1].limit == 0.05);
    CHECK_FALSE(got.record.guards[1].met);
    CHECK_FALSE(got.record.guards[1].enforced);
    CHECK(got.record.end == CrushEnd::StressRise);
    CHECK(got.record.notes == want.record.notes);
    CHECK(got.record.clock_ratio == 100.0);
    CHECK(got.record.solid_density_kg_per_m3 == 1010.0);
    CHECK(got.record.steps == 1234);
    CHECK(got.record.turn_row == 2);
    CHECK(got.record.print.drawn_relative_density == 0.13);
    CHECK(got.record.print.printed_relative_density == 0.15);
    CHECK(got.record.print.diameter_offset_m == 6e-5);
    CHECK(got.record.print.build_direction_factor == 0.8);
    CHECK(got.record.print.void_fraction == 0.02);
}

TEST_CASE("crush file: mesh and provenance come back") {
    const test::ScratchFolder folder;
    const CrushResult want = test::sample_result();
    write_crush_file(folder / "r.h5", want);
    const CrushResult got = read_crush_file(folder / "r.h5");
    CHECK(beams(got.mesh)->nodes == beams(want.mesh)->nodes);
    CHECK(beams(got.mesh)->is_joint == beams(want.mesh)->is_joint);
    REQUIRE(beams(got.mesh)->elements.size() == 3);
    for (std::size_t e = 0; e < 3; ++e) {
        CHECK(beams(got.mesh)->elements[e].a == beams(want.mesh)->elements[e].a);
        CHECK(beams(got.mesh)->elements[e].b == beams(want.mesh)->elements[e].b);
        CHECK(beams(got.mesh)->elements[e].image_b == beams(want.mesh)->elements[e].image_b);
        CHECK(beams(got.mesh)->elements[e].radius == beams(want.mesh)->elements[e].radius);
        CHECK(beams(got.mesh)->elements[e].stiffness_factor ==
              beams(want.mesh)->elements[e].stiffness_factor);
        CHECK(beams(got.mesh)->elements[e].mass_factor ==
              beams(want.mesh)->elements[e].mass_factor);
        CHECK(beams(got.mesh)->elements[e].strut == beams(want.mesh)->elements[e].strut);
    }
    CHECK(beams(got.mesh)->box == beams(want.mesh)->box);
    CHECK(beams(got.mesh)->periodic == beams(want.mesh)->periodic);
    CHECK(beams(got.mesh)->bottom == beams(want.mesh)->bottom);
    CHECK(beams(got.mesh)->top == beams(want.mesh)->top);
    CHECK(beams(got.mesh)->solid_volume == beams(want.mesh)->solid_volume);
    const Provenance& p = got.provenance;
    CHECK(p.build.version == build_info().version);
    CHECK(p.build.libraries == build_info().libraries);
    CHECK(p.command_line == want.provenance.command_line);
    REQUIRE(p.inputs.size() == 1);
    CHECK(p.inputs[0].name == "run.toml");
    CHECK(p.inputs[0].sha256 == sha256_hex(p.inputs[0].text));
    CHECK(p.resolved_config == want.provenance.resolved_config);
    CHECK(p.seeds == want.provenance.seeds);
    CHECK(p.limits.size() == 2);
    REQUIRE(p.run.has_value());
    CHECK(p.run->wall_time_s == 12.5);
    CHECK(p.run->threads == 2);
}

TEST_CASE("crush file: a run of no rows and no mesh is written and read") {
    const test::ScratchFolder folder;
    CrushResult nothing;
    nothing.record.end = CrushEnd::Failed;
    nothing.record.failure = "element 3 inverted at 0.1 s";
    write_crush_file(folder / "r.h5", nothing);
    CHECK(read_crush_file(folder / "r.h5").record.failure == "element 3 inverted at 0.1 s");
    const h5::Reader file(folder / "r.h5");
    CHECK(file.text("/", "verdict") == "untrusted");
    CHECK(file.text("/", "verdict_text") ==
          "untrusted: the run failed: element 3 inverted at 0.1 s");
}

TEST_CASE("crush file: the verdict names every enforced limit that was not met, and the caution") {
    const test::ScratchFolder folder;
    CrushResult result = test::sample_result();
    CHECK(verdict_text(result.record).starts_with("trusted: "));
    result.record.guards[1].enforced = true;
    CHECK(verdict_text(result.record) == "untrusted: kinetic_share 0.08 is outside its limit 0.05");
    write_crush_file(folder / "r.h5", result);
    const h5::Reader file(folder / "r.h5");
    CHECK(file.text("/", "verdict") == "untrusted");
    CHECK(file.text("/", "caution").find("certifies nothing") != std::string::npos);
}

TEST_CASE("crush file: two runs of one input differ in /provenance/run alone") {
    const test::ScratchFolder folder;
    CrushResult result = test::sample_result();
    result.provenance.run.reset();
    write_crush_file(folder / "a.h5", result);
    write_crush_file(folder / "b.h5", result);
    CHECK(read_text_file(folder / "a.h5") == read_text_file(folder / "b.h5"));
}

TEST_CASE("crush file: files of another schema and hostile meshes are refused") {
    const test::ScratchFolder folder;
    CrushResult result = test::sample_result();
    std::get<BeamMesh>(result.mesh).elements[0].b = 99;
    write_crush_file(folder / "r.h5", result);
    CHECK(test::message_of([&] {
              (void)read_crush_file(folder / "r.h5");
          }).find("/mesh/elements: index 99 is not below 4") != std::string::npos);
}
