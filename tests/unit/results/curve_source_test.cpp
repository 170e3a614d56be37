// SPDX-License-Identifier: Apache-2.0
#include "solver/results/curve_source.hpp"

#include "solver/core/publish.hpp"
#include "solver/results/crush_file.hpp"
#include "solver/results/csv.hpp"
#include "solver/results/grade_table_file.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/sample_results.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;
using test::message_of;

TEST_CASE("read_any_curve: a row of a grade table, with its density and its doubt") {
    const test::ScratchFolder folder;
    const GradeTable table = test::sample_table();
    write_grade_table(folder / "t.h5", table, test::sample_provenance());
    for (std::size_t i = 0; i < 3; ++i) {
        const GradeRow& row = table.rows[i];
        const SourcedCurve c = read_any_curve(folder / "t.h5", static_cast<Index>(i + 1), {});
        CHECK(c.curve.nominal_stress_Pa == row.curve.nominal_stress_Pa);
        CHECK(c.trusted == (row.status == "trusted"));
        CHECK(c.label == grade_label(row.grade));
        CHECK(test::rel_err(c.mass.relative_density * c.mass.solid_density_kg_per_m3,
                            row.density_kg_per_m3) < 1e-12);
    }
    const std::string none = message_of([&] { (void)read_any_curve(folder / "t.h5", {}, {}); });
    CHECK(none.find("a row of the grade table is needed; its rows are: 1 ") != std::string::npos);
    CHECK(message_of([&] { (void)read_any_curve(folder / "t.h5", 99, {}); }).find("no row 99") !=
          std::string::npos);
}

TEST_CASE("read_any_curve: a curve in a CSV of ours keeps its verdict") {
    const test::ScratchFolder folder;
    const CrushCurve curve{.nominal_strain = {0.0, 0.1, 0.05},
                           .nominal_stress_Pa = {0.0, 1e6, 0.0},
                           .turn = 2,
                           .shear_strain = {},
                           .shear_stress_Pa = {}};
    publish_text(folder / "good.csv", curve_csv(curve, {"trusted: it met every limit", "caution"}));
    publish_text(folder / "bad.csv", curve_csv(curve, {"untrusted: kinetic_share 0.1", "caution"}));
    const SourcedCurve good = read_any_curve(folder / "good.csv", {}, {});
    CHECK(good.trusted);
    CHECK(good.curve.turn == 2);
    const SourcedCurve bad = read_any_curve(folder / "bad.csv", {}, {});
    CHECK_FALSE(bad.trusted);
    CHECK(bad.reason == "untrusted: kinetic_share 0.1");
    CHECK(message_of([&] {
              (void)read_any_curve(folder / "good.csv", 1, {});
          }).find("only a grade table has rows") != std::string::npos);
}
