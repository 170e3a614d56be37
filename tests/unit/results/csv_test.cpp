// SPDX-License-Identifier: Apache-2.0
#include "solver/results/csv.hpp"

#include "solver/results/curve_csv.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/sample_results.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace cellgrade;

TEST_CASE("CSV: a curve written here reads back the same") {
    const CrushCurve want = test::sample_curve();
    const std::string text = curve_csv(want, {"cell octet", "two\nlines"});
    CHECK(
        text.starts_with("# cell octet\n# two lines\nnominal_strain,nominal_stress_MPa,unloading\n"
                         "0,0,0\n"));
    const ReadCurve got = parse_curve_csv(text, "c.csv", {});
    CHECK(got.curve.turn == want.turn);
    CHECK(got.curve.nominal_strain == want.nominal_strain);
    REQUIRE(got.curve.nominal_stress_Pa.size() == want.nominal_stress_Pa.size());
    // Pa -> MPa -> Pa rounds twice.
    for (std::size_t i = 1; i < want.nominal_stress_Pa.size(); ++i)
        CHECK(test::rel_err(got.curve.nominal_stress_Pa[i], want.nominal_stress_Pa[i]) < 5e-16);
}

TEST_CASE("CSV: shortest numbers, empty for NaN, text quoted as in RFC 4180") {
    const std::string text = traits_csv(test::sample_table(), {});
    CHECK(text.starts_with("cell,polymer,relative_density,strut_diameter_m,speed_m_per_s,"
                           "strain_rate_per_s,temperature_C,precompression,path_angle_deg,"
                           "direction,load,status,reason,warning,outside_card,density_kg_per_m3,"
                           "polymer_modulus_Pa,quasi_elastic_gradient_Pa,"));
    CHECK(text.find("octet,made-up elastomer,0.1,0.0003333333333333333,0.02,1.5,,0,0,[001],"
                    "compression,trusted,,\"beams, \"\"stubby\"\"\",5 C (card: 10 to 40 "
                    "C),101,,6100000,") != std::string::npos);
    CHECK(text.find(",0.77,,0.03,,,,,,,\n") != std::string::npos);
    CHECK(text.find(",untrusted,\"kinetic_share 0.2, limit 0.05 \"\"impact\"\"\",,,103,") !=
          std::string::npos);
    CHECK(text.find(",0.15000000000000002,0.0003333333333333333,,2.5,,0,0,[001],compression,"
                    "trusted,") != std::string::npos);
    CHECK(text.find("\"line 1\nline 2\"") != std::string::npos);
}

TEST_CASE("CSV: long form has one row a point and numbers its cases") {
    const std::string text = curves_csv(test::sample_table(), {});
    CHECK(std::count(text.begin(), text.end(), '\n') == 1 + 3 * 64);
    CHECK(text.find("\n3,octet,made-up elastomer,0.2,0.0003333333333333333,0.02,3.5,,0,0,[001],"
                    "compression,untrusted,0,0,0,,\n") != std::string::npos);
}

TEST_CASE("CSV: traits in long form carry unit and uncertainty, shear only where there is some") {
    const GradeTable table = test::full_sample_table();
    const std::string text = long_traits_csv(table, {});
    CHECK(std::count(text.begin(), text.end(), '\n') == 1 + 4 * 14 + 7);
    CHECK(text.find(",trusted,densification_strain,1,0.58,,,,,,,,,,,\"mesh, specimen, rate, "
                    "friction, polymer, print\"\n") != std::string::npos);
    CHECK(text.find(",[1 -1 2],compression,trusted,residual_strain,1,0.03,") != std::string::npos);
    CHECK(text.find(fmt::format(",untrusted,shear_modulus_Pa,Pa,{},",
                                table.rows[2].shear.shear_modulus_Pa)) != std::string::npos);
}

TEST_CASE("CSV: history has every column once") {
    const std::string text = history_csv(test::sample_record().history, {});
    CHECK(text.starts_with("time_s,solver_time_s,displacement_m,force_top_N,force_bottom_N,"
                           "kinetic_energy_J,stored_energy_J,viscous_energy_J,contact_energy_J,"
                           "friction_energy_J,damping_energy_J,external_work_J,penetration_share,"
                           "step_s,slide_m,side_force_top_N,side_force_bottom_N\n0,0,0"));
    CHECK(std::count(text.begin(), text.end(), '\n') == 4);
}
