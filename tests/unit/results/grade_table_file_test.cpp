// SPDX-License-Identifier: Apache-2.0
#include "solver/results/grade_table_file.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/hdf5.hpp"
#include "tests/support/sample_results.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;
using test::message_of;

namespace {

bool same(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

} // namespace

TEST_CASE("grade table: what was written reads back equal, row order kept") {
    const test::ScratchFolder folder;
    const GradeTable want = test::sample_table();
    write_grade_table(folder / "t.h5", want, test::sample_provenance());
    const GradeTable got = read_grade_table(folder / "t.h5");
    CHECK(got.study_name == want.study_name);
    REQUIRE(got.rows.size() == want.rows.size());
    for (std::size_t i = 0; i < want.rows.size(); ++i) {
        const GradeRow &a = got.rows[i], &b = want.rows[i];
        CHECK(a.grade.key == b.grade.key);
        CHECK(a.grade.cell == b.grade.cell);
        CHECK(a.grade.polymer == b.grade.polymer);
        CHECK(a.grade.relative_density == b.grade.relative_density);
        CHECK(a.grade.strut_diameter_m == b.grade.strut_diameter_m);
        CHECK(same(a.grade.speed_m_per_s, b.grade.speed_m_per_s));
        CHECK(a.grade.strain_rate_per_s == b.grade.strain_rate_per_s);
        CHECK(a.status == b.status);
        CHECK(a.reason == b.reason);
        CHECK(a.warning == b.warning);
        CHECK(a.density_kg_per_m3 == b.density_kg_per_m3);
        for (const TraitField& field : trait_fields())
            CHECK(same(a.traits.*field.member, b.traits.*field.member));
        CHECK(a.curve.nominal_strain == b.curve.nominal_strain);
        CHECK(a.curve.nominal_stress_Pa == b.curve.nominal_stress_Pa);
        CHECK(a.curve.turn == b.curve.turn);
        CHECK(a.guards.size() == b.guards.size());
    }
    CHECK(read_grade_table_provenance(folder / "t.h5").inputs.size() == 1);
}

TEST_CASE("grade table: its bytes depend on the input alone, not on when or how it was run") {
    const test::ScratchFolder folder;
    Provenance unbroken = test::sample_provenance(), resumed = test::sample_provenance();
    resumed.run = RunInfo{.start_utc = "2032-01-01T00:00:00Z", .wall_time_s = 3.0, .threads = 7};
    write_grade_table(folder / "a.h5", test::sample_table(), unbroken);
    write_grade_table(folder / "b.h5", test::sample_table(), resumed);
    CHECK(read_text_file(folder / "a.h5") == read_text_file(folder / "b.h5"));
    CHECK_FALSE(h5::Reader(folder / "a.h5").has("/provenance/run"));
}

TEST_CASE("grade table: every trait has a definition, every column a unit") {
    const test::ScratchFolder folder;
    write_grade_table(folder / "t.h5", test::sample_table(), test::sample_provenance());
    const h5::Reader file(folder / "t.h5");
    for (const TraitField& field : trait_fields()) {
        CHECK(file.text("/definitions", field.name) == definition_text(field));
        CHECK((field.units == "1" || field.name.find('_') != std::string::npos));
    }
    const h5::Table rows = file.table("/traits");
    CHECK(rows.columns[3].name == "strut_diameter_m");
    CHECK(rows.columns[3].units == "m");
    CHECK(file.number("/", "failed_cases") == 1.0);
}

TEST_CASE("grade table: contradictions are refused with the row") {
    const test::ScratchFolder folder;
    const auto message = [&](auto change) {
        GradeTable table = test::sample_table();
        change(table.rows[2]);
        return message_of(
            [&] { write_grade_table(folder / "t.h5", table, test::sample_provenance()); });
    };
    CHECK(message([](GradeRow& r) { r.grade.key = std::string(64, 'a'); }).find("row 3 (octet") !=
          std::string::npos);
    CHECK(message([](GradeRow& r) { r.status = "good"; }).find("status 'good'") !=
          std::string::npos);
    CHECK(message([](GradeRow& r) { r.reason.clear(); }).find("without a reason") !=
          std::string::npos);
    CHECK(message([](GradeRow& r) {
              r.curve.nominal_strain.pop_back();
          }).find("different lengths") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder / "t.h5"));
}

TEST_CASE("grade table: a crush file is not taken for a table") {
    const test::ScratchFolder folder;
    write_crush_file(folder / "r.h5", test::sample_result());
    CHECK(message_of([&] {
              (void)read_grade_table(folder / "r.h5");
          }).find("schema cellgrade/crush; cellgrade/grade-table is needed") != std::string::npos);
}
