// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_doubt.hpp"

#include "solver/cli/doubt_text.hpp"
#include "solver/core/keyed_file.hpp"
#include "solver/core/publish.hpp"
#include "solver/grades/trait_fields.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

using namespace cellgrade;

namespace {

const std::string small = "schema = 1\n[polymer]\ncard = \"medium\"\n[cell]\nsize_mm = 5\n"
                          "[specimen]\ntiles = [1, 1, 2]\nsides = \"periodic\"\nends = \"bonded\"\n"
                          "elements_per_strut = 2\n[loading]\nto_strain = 0.1\n"
                          "[sweep]\ncells = [\"body_centred\"]\n";
const std::string one = small + "relative_densities = [0.1]\nstrain_rates_per_s = [0.01]\n";

StudyConfig read(const std::string& text) {
    const test::ScratchFolder scratch;
    const auto path = scratch.path() / "study.toml";
    publish_text(path, text);
    return read_study(path, StudyUse::Table);
}

std::string message(const std::string& table) {
    try {
        (void)read(one + "[uncertainty]\n" + table);
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::Input);
        return e.what();
    }
    return "";
}

struct Planned {
    std::vector<StudyCase> cases;
    DoubtPlan plan;
};

Planned planned(const std::string& text) {
    const StudyConfig config = read(text);
    Planned p;
    for (const StudyConfig& each : expand_sweep(config))
        p.cases.push_back(prepare_case(each));
    p.plan = plan_doubt(config.uncertainty, p.cases);
    return p;
}

std::size_t count(const CaseDoubt& c, DoubtPart part) {
    return static_cast<std::size_t>(
        std::count_if(c.variants.begin(), c.variants.end(),
                      [part](const DoubtVariant& v) { return v.part == part; }));
}

const std::string& why_not(const CaseDoubt& c, DoubtPart part) {
    return c.why_not[static_cast<std::size_t>(part)];
}

/// A row whose traits are all `value`.
GradeRow row_of(double value, const std::string& status = "trusted") {
    GradeRow row;
    row.status = status;
    row.reason = status == "trusted" ? "" : "kinetic_share 0.1 above its limit 0.05";
    for (const TraitField& field : trait_fields())
        row.traits.*field.member = value;
    return row;
}

double part_of(const GradeRow& row, DoubtPart part) {
    return row.uncertainty.front().parts[static_cast<std::size_t>(part)];
}

} // namespace

TEST_CASE("read_uncertainty: efforts differ in parts, cases and runs, and keys go before them") {
    const UncertaintyChoice none = read(one).uncertainty;
    CHECK_FALSE(none.given);
    CHECK(none.parts.empty());
    const UncertaintyChoice screening = read(one + "[uncertainty]\n").uncertainty;
    CHECK(screening.given);
    CHECK(screening.parts.empty());
    const UncertaintyChoice working =
        read(one + "[uncertainty]\neffort = \"working\"\n").uncertainty;
    CHECK(working.cases == DoubtCases::Middle);
    CHECK(working.parts.size() == 5);
    CHECK_FALSE(working.has(DoubtPart::Specimen));
    const UncertaintyChoice full = read(one + "[uncertainty]\neffort = \"full\"\n").uncertainty;
    CHECK(full.parts.size() == 6);
    CHECK(full.mesh_refinements.size() == 2);
    CHECK(full.cases == DoubtCases::Each);
    const UncertaintyChoice own =
        read(one + "[uncertainty]\neffort = \"full\"\nparts = [\"print\", \"mesh\"]\nseeds = 7\n"
                   "cases = \"middle\"\n")
            .uncertainty;
    CHECK(own.parts == std::vector{DoubtPart::Mesh, DoubtPart::Print});
    CHECK(own.seeds == 7);
    CHECK(own.cases == DoubtCases::Middle);
}

TEST_CASE("study_text: uncertainty, refinement and speed share read back to the same text") {
    for (const std::string table :
         {"", "effort = \"full\"\npolymer_stiffness_share = 0.07\nnode_offset_share = 0.03\n",
          "parts = [\"mesh\"]\nmesh_refinements = [0.5, 2]\nfriction_low = 0.1\n"}) {
        const std::string once = study_text(read(one + "[uncertainty]\n" + table));
        CHECK(once.find("[uncertainty]\n") != std::string::npos);
        CHECK(study_text(read(once)) == once);
    }
    std::string varied = one;
    varied.insert(varied.find("[loading]"), "element_refinement = 1.5\n");
    varied += "[model]\nsolver_speed_share = 0.5\n";
    const std::string once = study_text(read(varied));
    CHECK(once.find("element_refinement = 1.5\n") != std::string::npos);
    CHECK(once.find("solver_speed_share = 0.5\n") != std::string::npos);
    CHECK(study_text(read(once)) == once);
    CHECK(study_text(read(one)).find("solver_speed_share") == std::string::npos);
}

TEST_CASE("read_uncertainty: what is wrong is told in one line at its key") {
    const auto told = [](const std::string& table, const std::string& key,
                         const std::string& what) {
        const std::string text = message(table);
        CAPTURE(text);
        CHECK(text.find("study.toml:18:") != std::string::npos);
        CHECK(text.find("uncertainty." + key) != std::string::npos);
        CHECK(text.find(what) != std::string::npos);
        CHECK(text.find('\n') == std::string::npos);
    };
    told("effort = \"fulll\"\n", "effort", "full");
    told("efort = \"full\"\n", "efort", "did you mean effort");
    told("parts = [\"mesh\", \"meshes\"]\n", "parts[1]", "not a part");
    told("parts = [\"mesh\", \"mesh\"]\n", "parts[1]", "twice");
    told("cases = \"all\"\n", "cases", "each");
    told("mesh_refinements = []\n", "mesh_refinements", "1 to 2");
    told("mesh_refinements = [1.5, 1]\n", "mesh_refinements[1]", "not 1");
    told("mesh_refinements = [1.2]\n", "mesh_refinements", "at least 1.3");
    told("mesh_refinements = [2, 2.2]\n", "mesh_refinements", "at least 1.3");
    told("mesh_refinements = [2, 3, 4]\n", "mesh_refinements", "1 to 2");
    told("specimen_factors = [1.5]\n", "specimen_factors[0]", "whole number");
    told("specimen_factors = [2, 2]\n", "specimen_factors[0]", "twice");
    told("specimen_factors = [20]\n", "specimen_factors[0]", "not allowed");
    told("friction_high = 2.5\n", "friction_high", "out of range");
    told("friction_low = 0.7\n", "friction_low", "not below");
    told("polymer_stiffness_share = 0\n", "polymer_stiffness_share", "out of range");
    told("seeds = 1\n", "seeds", "2 to 200");
    told("node_offset_share = 0.5\n", "node_offset_share", "out of range");
    told("diameter_scatter_share = -0.1\n", "diameter_scatter_share", "out of range");
}

TEST_CASE("plan_doubt: the key of a case does not depend on its uncertainty") {
    const std::string key = planned(one).cases.front().grade.key;
    const Planned p = planned(one + "[uncertainty]\neffort = \"full\"\n");
    CHECK(p.cases.front().grade.key == key);
    CHECK(study_key(p.cases.front().study) == key);
}

TEST_CASE("plan_doubt: every variant is a case of its own, with the key that it runs under") {
    const Planned p = planned(one + "[uncertainty]\neffort = \"full\"\nseeds = 3\n"
                                    "polymer_stiffness_share = 0.05\nnode_offset_share = 0.02\n");
    const CaseDoubt& c = p.plan.cases.front();
    CHECK(count(c, DoubtPart::Mesh) == 2);
    CHECK(count(c, DoubtPart::Specimen) == 1);
    CHECK(count(c, DoubtPart::Rate) == 1);
    CHECK(count(c, DoubtPart::Friction) == 2);
    CHECK(count(c, DoubtPart::Polymer) == 1);
    CHECK(count(c, DoubtPart::Print) == 3);
    std::set<std::string> keys{p.cases.front().grade.key};
    for (const DoubtRun& run : p.plan.runs) {
        CHECK(keys.insert(run.grade.key).second);
        CHECK(prepare_case(run.study).grade.key == run.grade.key);
    }
    CHECK(keys.size() == 11);
    // body-centred struts of 2, 3 and 5 (4.5 rounded) elements
    CHECK(test::rel_err(c.element_size / c.variants[0].amount, 1.5) < 1e-12);
    CHECK(c.variants[1].amount < c.variants[0].amount);
    CHECK(c.cells == 1.0);
}

TEST_CASE("plan_doubt: the slower run begins at half the speed of the case") {
    const Planned p = planned(one + "[uncertainty]\nparts = [\"rate\"]\n");
    const StudyCase slow = prepare_case(p.plan.runs.at(0).study);
    StudyConfig whole = p.plan.runs.at(0).study;
    whole.solver_speed_share = 1.0 - 1e-12; // the speed that the case chooses by itself
    CHECK(test::rel_err(*slow.setup.numerics.solver_speed_m_per_s,
                        0.5 * *prepare_case(whole).setup.numerics.solver_speed_m_per_s) < 1e-9);
    const CrushLimits& tight = p.plan.runs.at(0).study.limits;
    CHECK(test::rel_err(tight.kinetic_share, 0.25 * p.cases[0].study.limits.kinetic_share) < 1e-14);
    CHECK(test::rel_err(tight.platen_balance, 0.5 * p.cases[0].study.limits.platen_balance) <
          1e-14);
    const Planned given = planned(one + "[model]\nsolver_speed_m_per_s = 3\n"
                                        "[uncertainty]\nparts = [\"rate\"]\n");
    CHECK(*given.plan.runs.at(0).study.numerics.solver_speed_m_per_s == 1.5);
}

TEST_CASE("plan_doubt: what cannot be varied is said") {
    const Planned p = planned(small + "relative_densities = [0.1]\nspeeds_m_per_s = [5]\n"
                                      "[uncertainty]\neffort = \"full\"\n");
    const CaseDoubt& c = p.plan.cases.front();
    CHECK(why_not(c, DoubtPart::Rate).find("impact") != std::string::npos);
    CHECK(why_not(c, DoubtPart::Polymer).find("no intervals") != std::string::npos);
    CHECK(why_not(c, DoubtPart::Print).find("scatter") != std::string::npos);
    for (const DoubtVariant& v : c.variants)
        if (v.part == DoubtPart::Specimen) // a higher one would be another rate
            CHECK(p.plan.runs[v.run].study.specimen.tiles == std::array<Index, 3>{2, 2, 2});
}

TEST_CASE("plan_doubt: the middle density of each cell and rate is varied, the others take it") {
    const Planned p =
        planned(small + "relative_densities = [0.12, 0.06, 0.1, 0.08]\n"
                        "strain_rates_per_s = [0.01]\nspeeds_m_per_s = [5]\n"
                        "[uncertainty]\nparts = [\"friction\"]\ncases = \"middle\"\n");
    REQUIRE(p.plan.cases.size() == 8);
    // the lower of the two middle ones is 0.08, the fourth in the file
    for (const std::size_t i : {0, 2, 4})
        CHECK(p.plan.cases[i].carried_from == 6);
    for (const std::size_t i : {1, 3, 5})
        CHECK(p.plan.cases[i].carried_from == 7);
    CHECK_FALSE(p.plan.cases[6].carried_from.has_value());
    CHECK(p.plan.runs.size() == 4);
}

// Exact      by hand from traits that are all alike: 10 in the case itself
TEST_CASE("merge_doubt: parts come out by their formulae, unusable runs make theirs unknown") {
    DoubtPlan plan;
    plan.choice.given = true;
    plan.choice.parts = {DoubtPart::Mesh,     DoubtPart::Specimen, DoubtPart::Rate,
                         DoubtPart::Friction, DoubtPart::Polymer,  DoubtPart::Print};
    CaseDoubt c;
    c.cells = 1.0;
    c.variants = {{DoubtPart::Mesh, "elements 2 times smaller", 0.5, 0},
                  {DoubtPart::Specimen, "2 times as many cells", 2.0, 1},
                  {DoubtPart::Rate, "platen speed times 0.5", 0.5, 2},
                  {DoubtPart::Friction, "friction 0", 0.0, 3},
                  {DoubtPart::Friction, "friction 0.6", 0.6, 4},
                  {DoubtPart::Polymer, "a", 1.0, 5},
                  {DoubtPart::Polymer, "b", 1.0, 6},
                  {DoubtPart::Print, "print 1", 1.0, 7},
                  {DoubtPart::Print, "print 2", 2.0, 8}};
    plan.cases = {c};
    std::vector<GradeRow> runs;
    for (const double v : {9.4, 9.0, 9.9, 9.7, 10.6, 10.3, 9.6, 9.0, 11.0})
        runs.push_back(row_of(v));
    std::vector<GradeRow> rows{row_of(10.0)};
    rows.front().traits.residual_strain = NAN;
    merge_doubt(plan, rows, runs);
    const GradeRow& row = rows.front();
    REQUIRE(row.uncertainty.size() == trait_fields().size());
    CHECK(test::rel_err(part_of(row, DoubtPart::Mesh), 3.0 * 0.6 * 4.0 / 3.0 / 2.0) < 1e-12);
    CHECK(test::rel_err(row.uncertainty.front().extrapolated, 9.2) < 1e-12);
    CHECK(test::rel_err(part_of(row, DoubtPart::Specimen), 2.0 / std::sqrt(3.0)) < 1e-12);
    CHECK(test::rel_err(part_of(row, DoubtPart::Rate), 0.2 / std::sqrt(3.0)) < 1e-12);
    CHECK(test::rel_err(part_of(row, DoubtPart::Friction), 0.9 / std::sqrt(12.0)) < 1e-12);
    CHECK(test::rel_err(part_of(row, DoubtPart::Polymer), 0.5) < 1e-12);
    CHECK(test::rel_err(part_of(row, DoubtPart::Print), std::sqrt(2.0)) < 1e-12);
    CHECK(row.uncertainty.front().settled_cells == 1.0); // 1 lies within the rest, 2.0
    CHECK(row.uncertainty.back().missing() == TraitUncertainty().missing()); // of a NaN
    CHECK(row.warning.empty());

    runs[4] = row_of(10.6, "untrusted");
    rows = {row_of(10.0)};
    merge_doubt(plan, rows, runs);
    CHECK(std::isnan(part_of(rows.front(), DoubtPart::Friction)));
    CHECK(rows.front().uncertainty.front().missing() == "friction");
    CHECK(rows.front().warning.find("friction not estimated: the run with friction 0.6 is "
                                    "untrusted: kinetic_share") != std::string::npos);

    // the slower run has tightened limits: it counts while it meets those of the case
    for (const bool within : {true, false}) {
        rows = {row_of(10.0)};
        rows.front().guards = {{"kinetic_share", 0.02, 0.05, true, true}};
        runs[2] = row_of(9.9, "untrusted");
        runs[2].guards = {{"kinetic_share", within ? 0.04 : 0.06, 0.0125, false, true}};
        merge_doubt(plan, rows, runs);
        CHECK(std::isnan(part_of(rows.front(), DoubtPart::Rate)) != within);
    }

    rows = {row_of(10.0, "untrusted")};
    merge_doubt(plan, rows, runs);
    CHECK(rows.front().uncertainty.empty());
    CHECK(rows.front().warning.find("not trusted") != std::string::npos);
}

TEST_CASE("merge_doubt: carried shares are flagged, and screening says that it did nothing") {
    DoubtPlan plan;
    plan.choice.given = true;
    plan.choice.parts = {DoubtPart::Rate};
    plan.cases.resize(2);
    plan.cases[0].variants = {{DoubtPart::Rate, "slow", 0.5, 0}};
    plan.cases[1].carried_from = 0;
    std::vector<GradeRow> rows{row_of(10.0), row_of(30.0)};
    rows[0].grade.relative_density = 0.08;
    rows[1].warning = "beams differ";
    const std::vector<GradeRow> runs{row_of(9.0)};
    merge_doubt(plan, rows, runs);
    CHECK(test::rel_err(part_of(rows[1], DoubtPart::Rate),
                        3.0 * part_of(rows[0], DoubtPart::Rate)) < 1e-12);
    CHECK(uncertainty_note(rows[1]) == "carried from relative density 0.08, in proportion");
    CHECK(other_warning(rows[1]) == "beams differ");

    plan.choice.parts.clear();
    rows = {row_of(10.0), row_of(30.0)};
    merge_doubt(plan, rows, {});
    CHECK(rows[0].uncertainty.empty());
    CHECK(uncertainty_note(rows[0]) == "nothing was estimated (effort screening)");
}

TEST_CASE("with_doubt: two digits of the uncertainty, as many places of the value") {
    CHECK(with_doubt(0.036123, 0.00121) == "0.0361 ± 0.0012");
    CHECK(with_doubt(123.4, 25.0) == "123 ± 25");
    CHECK(with_doubt(0.5, 0.0) == "0.5 ± 0");
    CHECK(with_doubt(0.036123, NAN) == "0.03612");
    CHECK(with_doubt(NAN, 0.1) == "-");
}
