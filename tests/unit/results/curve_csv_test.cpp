// SPDX-License-Identifier: Apache-2.0
#include "solver/results/curve_csv.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

using namespace cellgrade;
using test::message_of;
using test::rel_err;

namespace {

ReadCurve parsed(const std::string& text) {
    return parse_curve_csv(text, "c.csv", {});
}

std::string refusal(const std::string& text) {
    return message_of([&] { (void)parsed(text); });
}

bool noted(const ReadCurve& read, const std::string& words) {
    return std::any_of(read.notes.begin(), read.notes.end(),
                       [&](const auto& n) { return n.find(words) != std::string::npos; });
}

/// 0.1 -> 2 MPa, 0.25 -> 3.5 MPa, whatever the dialect.
void check_two_points(const ReadCurve& read) {
    REQUIRE(read.curve.nominal_strain.size() == 2);
    CHECK(rel_err(read.curve.nominal_strain[0], 0.1) < 1e-15);
    CHECK(rel_err(read.curve.nominal_strain[1], 0.25) < 1e-15);
    CHECK(rel_err(read.curve.nominal_stress_Pa[0], 2e6) < 1e-15);
    CHECK(rel_err(read.curve.nominal_stress_Pa[1], 3.5e6) < 1e-15);
    CHECK(read.curve.turn == 2);
}

} // namespace

TEST_CASE("curve CSV: separators, decimal signs, line ends and byte order marks") {
    check_two_points(parsed("nominal_strain,nominal_stress_MPa\n0.1,2\n0.25,3.5\n"));
    check_two_points(parsed("\xEF\xBB\xBFstrain [-];stress [MPa]\r\n0,1;2,0\r\n0,25;3,5\r\n"));
    check_two_points(parsed("strain (%)\tstress (kPa)\n10\t2000\n25\t3500"));
    check_two_points(parsed("strain stress_MPa\r0.1 2e0\r0.25   3.5\r"));
    check_two_points(parsed("strain  stress_MPa\n0,1  2,0\n0,25  3,5\n"));
    check_two_points(parsed("# note\n\n\"Strain\",\"Stress\"\n[%],[N/mm^2]\n10,2\n\n25,3.5\n"));
    CHECK(noted(parsed("strain [-];stress [MPa]\n0,1;2,0\n0,25;3,5\n"), "decimal comma"));
    CHECK(noted(parsed("strain [-];stress [MPa]\n0,1;2,0\n0,25;3,5\n"), "separator ';'"));
}

TEST_CASE("curve CSV: units of stress and psi by its definition") {
    CHECK(parsed("strain,stress_Pa\n0.1,2\n0.2,3\n").curve.nominal_stress_Pa[1] == 3.0);
    CHECK(parsed("strain,stress [GPa]\n0.1,2\n0.2,3\n").curve.nominal_stress_Pa[1] == 3e9);
    // NIST SP 811 (2008), appendix B.8: 1 psi = 6.894 757 E+03 Pa, seven digits.
    CHECK(rel_err(parsed("strain,stress [psi]\n0.1,2\n0.2,3\n").curve.nominal_stress_Pa[1],
                  3.0 * 6894.757) < 1e-7);
}

TEST_CASE("curve CSV: force and displacement need area and height") {
    const std::string text = "time_s;crosshead_mm;load_kN\n0;1;0,2\n1;2,5;0,35\n";
    check_two_points(parse_curve_csv(text, "c.csv", {.gross_area_m2 = 1e-4, .height_m = 0.01}));
    CHECK(refusal(text).find("c.csv: holds displacement and not a nominal measure; give the "
                             "specimen's initial height") == 0);
    CHECK(message_of([&] {
              (void)parse_curve_csv(text, "c.csv", {.gross_area_m2 = -1.0, .height_m = 0.01});
          }).find("gross area must be above 0") != std::string::npos);
}

TEST_CASE("curve CSV: strain without a unit is a fraction or per cent, or refused") {
    CHECK(noted(parsed("strain,stress_MPa\n0.1,2\n0.25,3.5\n"), "taken as a fraction"));
    check_two_points(parsed("strain,stress_MPa\n10,2\n25,3.5\n"));
    CHECK(noted(parsed("strain,stress_MPa\n10,2\n25,3.5\n"), "taken as per cent"));
    CHECK(refusal("strain,stress_MPa\n1,2\n2.5,3.5\n")
              .find("c.csv:1:1: column 'strain' reaches "
                    "2.5 and names no unit") == 0);
}

TEST_CASE("curve CSV: compression counted negative is turned round and noted") {
    const ReadCurve read = parsed("strain [%],stress [MPa]\n-10,-2\n-25,-3.5\n");
    check_two_points(read);
    CHECK(noted(read, "strain counts compression negative"));
    CHECK(noted(read, "stress counts compression negative"));
}

TEST_CASE("curve CSV: unloading, small steps back and several cycles") {
    const ReadCurve read =
        parsed("strain [-],stress_MPa\n0,0\n0.1,1\n0.0999,1\n0.3,2\n0.3,2.1\n0.2,1\n0.1,0\n");
    CHECK(read.curve.nominal_strain == std::vector<double>{0.0, 0.1, 0.3, 0.2, 0.1});
    CHECK(read.curve.turn == 3);
    CHECK(noted(read, "falls from line 7 on: taken as unloading (2 rows)"));
    CHECK(noted(read, "2 rows in which the strain did not move on"));
    CHECK(refusal("strain [-],stress_MPa\n0,0\n0.2,1\n0.1,0\n0.3,2\n")
              .find("c.csv:4:1: the strain "
                    "turns round") == 0);
    CHECK(refusal("strain [-],stress_MPa\n0,0\n0.3,1\n0.1,0\n0.2,2\n")
              .find("c.csv:5:1: the strain "
                    "turns round") == 0);
    CHECK(refusal("strain [-],stress_MPa\n0.3,1\n0.2,1\n0.1,0\n")
              .find("the loading must come first") != std::string::npos);
}

TEST_CASE("curve CSV: hostile input gives one line with its place") {
    CHECK(refusal("").find("c.csv: is empty; ") == 0);
    CHECK(refusal("# only\n\n").find("c.csv: is empty; ") == 0);
    CHECK(refusal("strain,stress_MPa\n").find("c.csv:1:1: no rows of numbers") == 0);
    CHECK(refusal("strain,stress_MPa\n0.1,2\n").find("c.csv:2:1: at least two rows") == 0);
    CHECK(refusal("0.1,2\n0.2,3\n").find("c.csv:1:1: no header row") == 0);
    CHECK(refusal("strain,stress_MPa\n0.1,nan\n0.2,3\n")
              .find("c.csv:2:1: column 'stress_MPa': nan is not a finite number") == 0);
    CHECK(refusal("strain,stress_MPa\n0.1,\n0.2,3\n")
              .find("c.csv:2:1: column 'stress_MPa': '' is not a number") == 0);
    CHECK(refusal("strain,stress_MPa\n0.1,2\n0.2,3,4\n")
              .find("c.csv:3:1: 3 cells where 2 are needed") == 0);
    CHECK(refusal("strain,stress_MPa\n0,1,0,2\n0,2,0,3\n")
              .find("c.csv:2:1: every ',' could be a separator or a decimal sign") == 0);
    CHECK(refusal("strain;stress_MPa\n0,1;1.234,5\n0,2;2\n").find("'1.234,5' groups its digits") !=
          std::string::npos);
    CHECK(refusal("strain;stress_MPa\n0,1;1,5\n0.2;2\n")
              .find("decimal commas (line 2) and decimal points (line 3)") != std::string::npos);
    CHECK(refusal("strain,stress\n0.1,2\n0.2,3\n").find("'stress' names no unit; add one of: pa") !=
          std::string::npos);
    CHECK(refusal("strain,stress [bar]\n0.1,2\n0.2,3\n").find("unknown unit 'bar'") !=
          std::string::npos);
    CHECK(refusal("strain,strain_b,stress_MPa\n0.1,1,2\n0.2,2,3\n")
              .find("columns 'strain' and 'strain_b' could both be the strain") !=
          std::string::npos);
    CHECK(refusal("true_strain,stress_MPa\n0.1,2\n0.2,3\n").find("no column of nominal strain") !=
          std::string::npos);
    CHECK(refusal("strain [-],stress_MPa\n0.1,2\n1.2,3\n")
              .find("c.csv:3:1: a nominal strain of 1.2 is not possible") == 0);
    CHECK(refusal(std::string("\xFF\xFEs\0t\0", 6)).find("not UTF-8") != std::string::npos);
}

TEST_CASE("curve CSV: any bytes end in a curve or in an Error of one line") {
    std::mt19937 random(7); // its output is fixed by the standard
    const std::string base = "strain [-];stress [MPa]\n0,1;2,0\n0,25;3,5\n0,3;4\n";
    const std::string alphabet = "0123456789.,;\t\n\r -+eE%[]()#\"abnMPa_\xFF";
    int curves = 0, refusals = 0;
    for (int trial = 0; trial < 20000; ++trial) {
        std::string text = base;
        for (unsigned change = 0; change < 1 + random() % 4; ++change)
            text[random() % text.size()] = alphabet[random() % alphabet.size()];
        try {
            const CrushCurve curve = parsed(text).curve;
            ++curves;
            REQUIRE(curve.nominal_strain.size() == curve.nominal_stress_Pa.size());
            REQUIRE(curve.turn >= 2);
        } catch (const Error& e) {
            ++refusals;
            REQUIRE(std::string(e.message()).find('\n') == std::string::npos);
        }
    }
    CHECK(curves > 100);
    CHECK(refusals > 100);
}

TEST_CASE("curve CSV: thousands of rows") {
    std::string text = "nominal_strain,nominal_stress_kPa\n";
    for (int i = 0; i < 50000; ++i)
        text += fmt::format("{},{}\n", i * 1e-5, i);
    CHECK(parsed(text).curve.nominal_strain.size() == 50000);
}
