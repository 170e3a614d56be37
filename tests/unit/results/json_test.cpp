// SPDX-License-Identifier: Apache-2.0
#include "solver/results/json.hpp"

#include "solver/grades/trait_fields.hpp"
#include "tests/support/sample_results.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

using namespace cellgrade;
using Json = nlohmann::json;

TEST_CASE("JSON: a table is one valid document with units in its keys and null for NaN") {
    const GradeTable table = test::sample_table();
    const std::string text = to_json(table);
    const Json json = Json::parse(text);
    CHECK(json["schema"] == "cellgrade/grade-table");
    CHECK(json["caution"].get<std::string>().find("certifies nothing") != std::string::npos);
    REQUIRE(json["cases"].size() == 4);
    CHECK(json["cases"][1]["speed_m_per_s"].is_null());
    CHECK(json["cases"][2]["traits"]["plateau_stress_Pa"] == 1.0 / 3.0 * 1e6);
    CHECK(json["cases"][2]["traits"]["dissipated_fraction"].is_null());
    CHECK(json["cases"][2]["traits"].size() == trait_fields().size());
    CHECK(json["cases"][3]["reason"] == "line 1\nline 2");
    CHECK(json["cases"][0]["curve"]["nominal_stress_Pa"].get<std::vector<double>>() ==
          table.rows[0].curve.nominal_stress_Pa);
    CHECK(text == to_json(table));
    CHECK(text.find("\"schema\"") < text.find("\"caution\""));
}

TEST_CASE("JSON: a crush carries verdict, guards and curve; bytes that are no UTF-8 do no harm") {
    CrushRecord record = test::sample_record();
    record.guards[0].met = false;
    record.notes = {"bad \xFF byte"};
    const Json json = Json::parse(to_json(record, test::sample_traits(), test::sample_curve()));
    CHECK(json["verdict"] == "untrusted");
    CHECK(json["verdict_text"] == "untrusted: energy_closure 0.004 is outside its limit 0.02");
    CHECK(json["guards"][1]["enforced"] == false);
    CHECK(json["end"] == "stress_rise");
    CHECK(json["notes"][0] == "bad \xEF\xBF\xBD byte");
    CHECK(Json::parse(to_json(test::sample_curve()))["turn"] == 61);
    CHECK(Json::parse(to_json(test::sample_traits()))["efficiency"] == 0.41);
    CHECK(Json::parse(to_json(test::sample_guards())).size() == 2);
}
