// SPDX-License-Identifier: Apache-2.0
#include "solver/results/grade_table_file.hpp"

#include "solver/core/error.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/grades/case_fields.hpp"
#include "solver/grades/grade_grid.hpp"
#include "solver/grades/trait_fields.hpp"
#include "solver/homogenize/loading_branch.hpp"
#include "solver/homogenize/shear_traits.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/grade_table_content.hpp"
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

void check_same_row(const GradeRow& a, const GradeRow& b) {
    CHECK(a.grade.key == b.grade.key);
    CHECK(a.grade.cell == b.grade.cell);
    CHECK(a.grade.polymer == b.grade.polymer);
    for (const CaseField& field : case_fields())
        CHECK(same(a.grade.*field.member, b.grade.*field.member));
    CHECK(a.grade.direction == b.grade.direction);
    CHECK(a.grade.load == b.grade.load);
    CHECK(a.status == b.status);
    CHECK(a.reason == b.reason);
    CHECK(a.warning == b.warning);
    CHECK(a.outside_card == b.outside_card);
    CHECK(a.density_kg_per_m3 == b.density_kg_per_m3);
    CHECK(same(a.polymer_modulus_Pa, b.polymer_modulus_Pa));
    for (const TraitField& field : trait_fields())
        CHECK(same(a.traits.*field.member, b.traits.*field.member));
    for (const ShearField& field : shear_fields())
        CHECK(same(a.shear.*field.member, b.shear.*field.member));
    CHECK(a.curve.nominal_strain == b.curve.nominal_strain);
    CHECK(a.curve.nominal_stress_Pa == b.curve.nominal_stress_Pa);
    CHECK(a.curve.shear_strain == b.curve.shear_strain);
    CHECK(a.curve.shear_stress_Pa == b.curve.shear_stress_Pa);
    CHECK(a.curve.turn == b.curve.turn);
    CHECK(a.guards.size() == b.guards.size());
    REQUIRE(a.uncertainty.size() == b.uncertainty.size());
    for (std::size_t t = 0; t < a.uncertainty.size(); ++t) {
        const TraitUncertainty &u = a.uncertainty[t], &v = b.uncertainty[t];
        for (std::size_t part = 0; part < u.parts.size(); ++part)
            CHECK(same(u.parts[part], v.parts[part]));
        CHECK(same(u.extrapolated, v.extrapolated));
        CHECK(same(u.mesh_order, v.mesh_order));
        CHECK(same(u.settled_cells, v.settled_cells));
    }
}

} // namespace

TEST_CASE("grade table: what was written reads back equal, row order kept") {
    const test::ScratchFolder folder;
    const GradeTable want = test::full_sample_table();
    write_grade_table(folder / "t.h5", want, test::sample_provenance());
    const GradeTable got = read_grade_table(folder / "t.h5");
    CHECK(got.study_name == want.study_name);
    REQUIRE(got.rows.size() == want.rows.size());
    for (std::size_t i = 0; i < want.rows.size(); ++i)
        check_same_row(got.rows[i], want.rows[i]);
    REQUIRE(got.stiffness.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
        const GradeStiffness &a = got.stiffness[i], &b = want.stiffness[i];
        CHECK(a.cell == b.cell);
        CHECK(a.relative_density == b.relative_density);
        CHECK(a.direction == b.direction);
        CHECK(a.polymer_modulus_Pa == b.polymer_modulus_Pa);
        CHECK(a.polymer_poisson == b.polymer_poisson);
        CHECK(a.tensor_Pa == b.tensor_Pa);
    }
    REQUIRE(got.scaling.size() == 1);
    // The rest of the row is compared as text by tests/programs/read_tables.py.
    CHECK(got.scaling[0].trait == want.scaling[0].trait);
    CHECK(got.scaling[0].grades == 4);
    CHECK(got.scaling[0].exponent_high == want.scaling[0].exponent_high);
    CHECK(std::isnan(got.scaling[0].temperature_C));
    CHECK(got.scaling[0].theory == want.scaling[0].theory);
    CHECK(read_grade_table_provenance(folder / "t.h5").inputs.size() == 1);
}

TEST_CASE("grade table: a file of schema 1.1 is read, what it did not hold is NaN or empty") {
    // Written by version 0.1.0, commit b69cc8d, from samples/grade_table_1_1.toml; the numbers
    // beside it are the CSV of the same run.
    const std::filesystem::path samples =
        std::filesystem::path(CELLGRADE_SOURCE_DIR) / "tests/unit/results/samples";
    const GradeTable table = read_grade_table(samples / "grade_table_1_1.h5");
    CHECK(table.study_name == "helmet liner pad, sample");
    REQUIRE(table.rows.size() == 2);
    const std::string csv = read_text_file(samples / "grade_table_1_1.csv");
    for (const GradeRow& row : table.rows) {
        CHECK(csv.find(fmt::format("\nbody_centred,medium,0.08,{},{}", row.grade.strut_diameter_m,
                                   std::isnan(row.grade.speed_m_per_s) ? "," : "0.5,")) !=
              std::string::npos);
        CHECK(csv.find(fmt::format(
                  "{},{},{},{},", row.density_kg_per_m3, row.traits.quasi_elastic_gradient_Pa,
                  row.traits.collapse_stress_Pa, row.traits.collapse_strain)) != std::string::npos);
        CHECK(csv.find(fmt::format(",{},{}\n", row.traits.dissipated_fraction,
                                   row.traits.residual_strain)) != std::string::npos);
        CHECK(row.status == "trusted");
        CHECK(row.warning.starts_with("beams against tetrahedra"));
        CHECK(row.outside_card.starts_with("not recorded"));
        CHECK(row.curve.nominal_strain.size() > 10);
        CHECK(row.curve.turn > 5);
        CHECK(row.guards.size() == 4);
        CHECK(row.grade.direction == std::array<Index, 3>{0, 0, 1});
        CHECK(std::isnan(row.grade.temperature_C));
        CHECK(row.grade.load == CaseLoad::Compression);
        CHECK(row.grade.path_angle_deg == 0.0);
        CHECK(std::isnan(row.polymer_modulus_Pa));
        CHECK(std::isnan(row.shear.shear_modulus_Pa));
        CHECK(row.uncertainty.empty());
    }
    CHECK(table.stiffness.empty());
    CHECK(table.scaling.empty());
    CHECK(read_grade_table_provenance(samples / "grade_table_1_1.h5").build.version == "0.1.0");
}

TEST_CASE("grade table: content of 1.0 becomes 2.1 step by step") {
    const GradeTable want = test::sample_table();
    GradeTableContent old = content_of(want);
    // What 1.0 did not have.
    std::erase_if(old.cases.columns, [](const h5::Column& column) {
        for (const char* name : {"warning", "outside_card", "temperature_C", "precompression",
                                 "path_angle_deg", "direction", "direction_x", "direction_y",
                                 "direction_z", "load", "polymer_modulus_Pa"})
            if (column.name == name)
                return true;
        return column.name.starts_with("shear_") || column.name.starts_with("normal_");
    });
    old.uncertainty = old.stiffness = old.scaling = {};
    for (const GradeRow& row : want.rows) {
        old.curves.push_back(row.curve);
        old.guards.push_back(row.guards);
    }
    migrate(old, {1, 0});
    const GradeTable got = table_from(old, "t.h5");
    for (std::size_t i = 0; i < want.rows.size(); ++i) {
        GradeRow expected = want.rows[i];
        expected.warning.clear();
        expected.outside_card = "not recorded: the table is older than schema 2.1";
        expected.shear = got.rows[i].shear;
        CHECK(std::isnan(got.rows[i].shear.shear_strength_Pa));
        check_same_row(got.rows[i], expected);
    }
}

TEST_CASE("grade table: newer minor versions are read, newer and unknown major ones refused") {
    const test::ScratchFolder folder;
    const auto message = [&](const std::vector<std::int64_t>& version) {
        h5::Writer file;
        file.text("/", "schema", "cellgrade/grade-table");
        file.integers("/", "schema_version", version);
        file.publish(folder / "v.h5");
        const h5::Reader reader(folder / "v.h5");
        return message_of([&] { (void)reader.check_schema("cellgrade/grade-table", 2, 1); });
    };
    CHECK(message({2, 7}).empty());
    CHECK(message({1, 0}).empty());
    const std::string newer = message({3, 1});
    CHECK(newer.find("version 3.1 of cellgrade/grade-table in the file, this program reads 2.x") !=
          std::string::npos);
    CHECK(newer.find('\n') == std::string::npos);
    CHECK(message({0, 9}).find("this program reads 2.x and older, from 1.0") != std::string::npos);
}

TEST_CASE(
    "grade table: a full grid of cases is one array, density x direction x rate x temperature") {
    const GradeTable table = test::grid_sample_table();
    const GradeGrid grid = grade_grid(table);
    REQUIRE(grid.absent_because.empty());
    CHECK(grid.relative_density == std::vector<double>{0.1, 0.15});
    CHECK(grid.direction == std::vector<std::array<Index, 3>>{{0, 0, 1}, {1, 1, 0}});
    CHECK(grid.temperature_C == std::vector<double>{-10.0, 20.0});
    const std::size_t n = grid.nominal_strain.size();
    CHECK(n == 141); // 0 to 0.7
    REQUIRE(grid.nominal_stress_Pa.size() == 2 * 2 * 2 * n);
    const LoadingBranch branch(table.rows[4].curve); // 0.15, [110], -10 C
    CHECK(grid.nominal_stress_Pa[6 * n + 77] == branch.stress_at(grid.nominal_strain[77]));
    CHECK(std::isnan(grid.nominal_stress_Pa[0 * n + 77])); // 0.1, [001], -10 C failed
    GradeTable hole = table;
    hole.rows.pop_back();
    CHECK(grade_grid(hole).absent_because ==
          "7 cases do not fill 2 densities x 2 directions x 1 rates x 2 temperatures, each once");
    hole.rows[0].grade.cell = "kelvin";
    CHECK(grade_grid(hole).absent_because.find("more than one cell") != std::string::npos);
    CHECK(grade_grid({}).absent_because == "the table has no case");
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
