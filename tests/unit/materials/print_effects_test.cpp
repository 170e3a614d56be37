// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/polymer_card.hpp"
#include "materials/print/print_effects.hpp"

#include "solver/core/types.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;

namespace {

bool contains(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

const std::string table = "[print]\n"
                          "void_fraction_sd = 0.004\n"
                          "void_fraction_readings = 6\n"
                          "diameter_offset_mm = 0.061\n"
                          "diameter_offset_sd_mm = 0.029\n"
                          "diameter_offset_readings = 24\n"
                          "build_direction_factor = 0.83\n"
                          "build_direction_factor_sd = 0.05\n"
                          "build_direction_factor_readings = 5\n";
const std::string lines = "void_fraction_sd = \"invented\"\n"
                          "diameter_offset_mm = \"invented\"\n"
                          "diameter_offset_sd_mm = \"invented\"\n"
                          "build_direction_factor = \"invented\"\n"
                          "build_direction_factor_sd = \"invented\"\n";

/// The soft card with a [print] table and its sources.
std::string soft_with(const std::string& print, const std::string& sources) {
    std::string text(built_in_card_text("soft"));
    const auto at = text.find("[sources]\n");
    REQUIRE(at != std::string::npos);
    return text.substr(0, at) + print + "[sources]\n" + sources + text.substr(at + 10);
}

std::string error_of(const std::string& from, const std::string& to) {
    std::string changed = table;
    const auto at = changed.find(from);
    REQUIRE(at != std::string::npos);
    changed.replace(at, from.size(), to);
    return test::message_of([&] { (void)parse_card(soft_with(changed, lines), "card.toml"); });
}

} // namespace

TEST_CASE("[print] of a card: read in SI, written and read back bit for bit") {
    const PolymerCard card = parse_card(soft_with(table, lines), "card.toml");
    REQUIRE(card.print);
    CHECK(card.print->void_fraction == Scatter{0.004, 6});
    CHECK(card.print->diameter_offset->mean == 0.061 * 1e-3);
    CHECK(card.print->diameter_offset->scatter == Scatter{0.029 * 1e-3, 24});
    CHECK(card.print->build_direction_factor->mean == 0.83);
    const PolymerCard again = parse_card(card_text(card), "again");
    CHECK(again.print == card.print);
    CHECK(again.sources == card.sources);
    CHECK(plausibility_notes(card).empty());
}

TEST_CASE("[print] of a card: every key may be left out, and so the table") {
    const auto print_of = [](const std::string& print, const std::string& sources) {
        return parse_card(card_text(parse_card(soft_with(print, sources), "a")), "b").print;
    };
    CHECK_FALSE(print_of("", "").has_value());
    const auto offset =
        print_of("[print]\ndiameter_offset_mm = -0.02\n", "diameter_offset_mm = \"invented\"\n");
    REQUIRE(offset);
    CHECK(offset->diameter_offset->mean == -0.02 * 1e-3);
    CHECK_FALSE(offset->diameter_offset->scatter.has_value());
    CHECK_FALSE(offset->void_fraction.has_value());
    const auto sd =
        print_of("[print]\nvoid_fraction_sd = 0.004\n", "void_fraction_sd = \"invented\"\n");
    CHECK(sd->void_fraction == Scatter{0.004, {}});
    CHECK(find_card("soft").print == std::nullopt);
}

TEST_CASE("[print] of a card: what is wrong is told with its place and what would be right") {
    struct Case {
        const char *from, *to, *place, *right;
    };
    const Case cases[] = {
        {"diameter_offset_mm = 0.061", "diameter_offset_um = 61", "diameter_offset", "mm"},
        {"diameter_offset_mm = 0.061\n", "", "print.diameter_offset_sd_mm",
         "not without diameter_offset_mm"},
        {"diameter_offset_sd_mm = 0.029\n", "", "print.diameter_offset_readings",
         "not without diameter_offset_sd_mm"},
        {"void_fraction_sd = 0.004", "void_fraction_sd = -0.004", "print.void_fraction_sd",
         "0 or a number above"},
        {"readings = 6", "readings = 1", "print.void_fraction_readings", "at least 2"},
        {"void_fraction_sd = 0.004", "void_fraction_sd = 0.4", "print", "too wide"},
        {"factor = 0.83", "factor = 83", "print", "0.05 to 5"},
        {"factor = 0.83", "factor = nan", "print.build_direction_factor", "finite"},
        {"factor_sd = 0.05", "factor_sd = 2.0", "print", "too wide"},
        {"factor_sd = 0.05", "factor_sdev = 0.05", "print.build_direction_factor", "factor_sd"},
    };
    for (const Case& c : cases) {
        const std::string message = error_of(c.from, c.to);
        INFO(message);
        CHECK(contains(message, "card.toml:"));
        CHECK(contains(message, c.place));
        CHECK(contains(message, c.right));
        CHECK_FALSE(contains(message, "\n"));
    }
    CHECK(contains(test::message_of([] {
                       (void)parse_card(soft_with("[print]\ndiameter_offset_mm = 0.1\n", ""), "c");
                   }),
                   "no source for diameter_offset_mm"));
}

TEST_CASE("[print] of a card: an offset and a factor that no printer shows are noted") {
    std::string odd = table;
    odd.replace(odd.find("0.061"), 5, "0.610");
    odd.replace(odd.find("0.83"), 4, "0.25");
    const PolymerCard card = parse_card(soft_with(odd, lines), "card.toml");
    REQUIRE(plausibility_notes(card).size() == 2);
    CHECK(contains(plausibility_notes(card)[0], "0.61 mm"));
    CHECK(contains(plausibility_notes(card)[1], "factor of 0.25"));
}

// Problem    modulus of a bar cut at an angle from a transversely isotropic solid
// Exact      1 / S'_1111 of the compliance tensor rotated as a whole, S' = a a a a S, with
//            1/G13 = 1/E1 + 1/E3 + 2 nu31/E3 (Saint-Venant's relation)
// Source     Lekhnitskii 1963, rotation of elastic constants (from memory); the tensor sum is
//            independent of the two-term form under test
// Tolerance  round-off of 81 terms, 1e-13
TEST_CASE("factor_at_angle: is the modulus of a rotated transversely isotropic solid") {
    for (const double f : {0.4, 0.83, 1.0, 1.3})
        for (const double nu31 : {0.0, 0.3, 0.45}) {
            const double E1 = 1.0, E3 = f, nu12 = 0.4;
            double S[3][3][3][3] = {};
            for (int i = 0; i < 3; ++i)
                S[i][i][i][i] = 1.0 / (i == 2 ? E3 : E1);
            S[0][0][1][1] = S[1][1][0][0] = -nu12 / E1;
            for (int i = 0; i < 2; ++i)
                S[i][i][2][2] = S[2][2][i][i] = -nu31 / E3;
            const double shear[3] = {1.0 / E1 + 1.0 / E3 + 2.0 * nu31 / E3,
                                     1.0 / E1 + 1.0 / E3 + 2.0 * nu31 / E3,
                                     2.0 * (1.0 + nu12) / E1}; // 1/G of yz, xz, xy
            for (int i = 0; i < 3; ++i)
                for (int j = 0; j < 3; ++j)
                    if (i != j)
                        S[i][j][i][j] = S[i][j][j][i] = 0.25 * shear[3 - i - j];
            for (const double degrees : {0.0, 20.0, 45.0, 70.0, 90.0}) {
                const double t = degrees * std::numbers::pi / 180.0;
                const Vec3 bar(std::sin(t) * 0.6, std::sin(t) * 0.8, std::cos(t));
                double compliance = 0.0;
                for (int i = 0; i < 3; ++i)
                    for (int j = 0; j < 3; ++j)
                        for (int k = 0; k < 3; ++k)
                            for (int l = 0; l < 3; ++l)
                                compliance += bar[i] * bar[j] * bar[k] * bar[l] * S[i][j][k][l];
                CHECK(test::rel_err(factor_at_angle(f, std::cos(t)), 1.0 / compliance) < 1e-13);
            }
        }
}

// Exact      variance of one more reading around the mean of n: s^2 (1 + 1/n)
TEST_CASE("Scatter: few readings widen the scatter of the next print") {
    CHECK(Scatter{0.02, {}}.sd_of_next() == 0.02);
    CHECK(test::rel_err(Scatter{0.02, 4}.sd_of_next(), 0.02 * std::sqrt(1.25)) < 1e-15);
}
