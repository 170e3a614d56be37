// SPDX-License-Identifier: Apache-2.0
#include "solver/results/drop_file.hpp"

#include "solver/core/error.hpp"
#include "solver/results/crush_file.hpp"
#include "tests/support/sample_results.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace cellgrade;

namespace {

bool same(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

/// Every number different, so that none can stand in for another.
DropResult sample_drop() {
    DropResult drop;
    double number = 0.25;
    for (const DropHistoryField& field : drop_history_fields())
        for (int row = 0; row < 3; ++row)
            (drop.record.history.*field.member).push_back(number += 1.0);
    for (const DropField& field : drop_fields())
        drop.record.traits.*field.member = number += 1.0;
    drop.record.traits.rebound_speed_m_per_s = std::nan("");
    drop.record.guards = {{.name = "energy_closure", .value = 0.002, .limit = 0.01},
                          {.name = "still_falling", .value = 0.5, .limit = 0.0, .met = false}};
    drop.record.end = DropEnd::TimeLimit;
    drop.record.notes = {"one", "two"};
    drop.record.past_densification = true;
    drop.record.print.void_fraction = 0.02;
    drop.record.striker_mass_kg = 1.5;
    drop.record.channel_class_Hz = 600.0;
    drop.record.steps = 77;
    drop.injury.hic15 = 123.0;
    const CrushResult crush = test::sample_result();
    drop.mesh = crush.mesh;
    drop.provenance = crush.provenance;
    return drop;
}

} // namespace

TEST_CASE("drop file: what was written comes back bit for bit") {
    const test::ScratchFolder folder;
    const DropResult want = sample_drop();
    write_drop_file(folder / "d.h5", want);
    const DropResult got = read_drop_file(folder / "d.h5");
    for (const DropHistoryField& field : drop_history_fields())
        CHECK_MESSAGE(got.record.history.*field.member == want.record.history.*field.member,
                      field.name);
    for (const DropField& field : drop_fields())
        CHECK_MESSAGE(same(got.record.traits.*field.member, want.record.traits.*field.member),
                      field.name);
    CHECK(got.record.end == DropEnd::TimeLimit);
    CHECK(!got.record.trusted());
    CHECK(got.record.guards[1].name == "still_falling");
    CHECK(got.record.notes == want.record.notes);
    CHECK(got.record.past_densification);
    CHECK(got.record.print.void_fraction == 0.02);
    CHECK(got.record.striker_mass_kg == 1.5);
    CHECK(got.record.channel_class_Hz == 600.0);
    CHECK(got.record.steps == 77);
    CHECK(got.injury.hic15 == 123.0);
    CHECK(std::isnan(got.injury.hic36));
    CHECK(nodes(got.mesh).size() == nodes(want.mesh).size());
    CHECK(got.provenance.resolved_config == want.provenance.resolved_config);
}

TEST_CASE("drop file: a file of a crush is refused by name") {
    const test::ScratchFolder folder;
    write_crush_file(folder / "r.h5", test::sample_result());
    CHECK_THROWS_WITH_AS((void)read_drop_file(folder / "r.h5"),
                         doctest::Contains("cellgrade/crush"), Error);
}
