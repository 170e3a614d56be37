// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/polymer_card.hpp"
#include "solver/core/units.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

using namespace cellgrade;

namespace {

std::string with_shift(const std::string& table, const std::string& sources) {
    std::string text(built_in_card_text("medium"));
    const auto at = text.find("[valid]");
    REQUIRE(at != std::string::npos);
    return text.insert(at, table + "\n") + sources;
}

const std::string wlf = "[temperature]\nlaw = \"wlf\"\nreference_C = 20.1\nc1 = 8.86\n"
                        "c2_K = 101.6\n";
const std::string wlf_sources =
    "reference_C = \"invented\"\nc1 = \"invented\"\nc2_K = \"invented\"\n";

std::string error_of(const std::string& table, const std::string& sources) {
    return test::message_of([&] { (void)parse_card(with_shift(table, sources), "card.toml"); });
}

} // namespace

// Source: references D15, Williams, Landel & Ferry (1955); printed digits.
TEST_CASE("WLF shift: universal constants, and those of 50 K above the glass transition") {
    const TimeTemperature from_glass{
        .kind = TimeTemperature::Kind::Wlf, .reference_K = 300.0, .c1 = 17.44, .c2_K = 51.6};
    CHECK(from_glass.log10_shift(300.0) == 0.0);
    CHECK(test::rel_err(from_glass.log10_shift(310.0), -2.831169) < 1e-6);
    CHECK(test::rel_err(from_glass.log10_shift(320.0), -4.871508) < 1e-6);
    CHECK(test::rel_err(from_glass.log10_shift(350.0), -8.582677) < 1e-6);
    CHECK(test::rel_err(from_glass.log10_shift(400.0), -11.50396) < 1e-6);
    const TimeTemperature above{
        .kind = TimeTemperature::Kind::Wlf, .reference_K = 300.0, .c1 = 8.86, .c2_K = 101.6};
    CHECK(test::rel_err(above.log10_shift(280.0), 2.171569) < 1e-6);
    CHECK(test::rel_err(above.log10_shift(320.0), -1.457237) < 1e-6);
    CHECK(test::message_of([&] { (void)above.log10_shift(198.0); }).find("ends at") !=
          std::string::npos);
}

// Exact: with R = 8.314462618 J/(mol K), 83.14462618 kJ/mol between 300 and 250 K is
// 10^4 (1/250 - 1/300) = 20/3 in the natural logarithm.
TEST_CASE("Arrhenius shift: by hand") {
    const TimeTemperature law{.kind = TimeTemperature::Kind::Arrhenius,
                              .reference_K = 300.0,
                              .activation_energy_J_per_mol = 83144.62618};
    CHECK(test::rel_err(law.log10_shift(250.0), 20.0 / 3.0 / std::log(10.0)) < 1e-8);
}

TEST_CASE("card: relaxation at T is that of the reference at t / a_T, and rates move along") {
    const PolymerCard card = parse_card(with_shift(wlf, wlf_sources), "card.toml");
    REQUIRE(card.shift.has_value());
    const double T = 0.0 + units::zero_C;
    const double a = std::pow(10.0, 8.86 * 20.1 / (101.6 - 20.1)); // colder is slower
    const PolymerCard cold = at_temperature(card, T);
    for (const double t : {1e-5, 1e-3, 0.1, 10.0, 1e3})
        CHECK(test::rel_err(relaxation(cold.prony, t), relaxation(card.prony, t / a)) < 1e-9);
    CHECK(test::rel_err(*cold.valid.rate_max_per_s, *card.valid.rate_max_per_s / a) < 1e-9);
    CHECK_NOTHROW(cold.check());
    const PolymerCard same = at_temperature(card, 20.1 + units::zero_C);
    for (std::size_t i = 0; i < card.prony.size(); ++i)
        CHECK(test::rel_err(same.prony[i].time_s, card.prony[i].time_s) < 1e-12);
}

TEST_CASE("card: [temperature] and its range come back to the bit") {
    for (const double reference : {20.1, -40.0, 23.0, 0.3}) {
        PolymerCard card = parse_card(with_shift(wlf, wlf_sources), "card.toml");
        card.shift->reference_K = reference + units::zero_C;
        card.valid.temperature_min_K = -20.7 + units::zero_C;
        card.valid.temperature_max_K = 55.0 + units::zero_C;
        card.sources["temperature_min_C"] = card.sources["temperature_max_C"] = "invented";
        const PolymerCard back = parse_card(card_text(card), "card.toml");
        CHECK(back.shift == card.shift);
        CHECK(back.valid == card.valid);
        CHECK(card_text(back) == card_text(card));
    }
    PolymerCard card = parse_card(
        with_shift("[temperature]\nlaw = \"arrhenius\"\nreference_C = 25\n"
                   "activation_energy_kJ_per_mol = 81.3\n",
                   "reference_C = \"invented\"\nactivation_energy_kJ_per_mol = \"invented\"\n"),
        "card.toml");
    CHECK(parse_card(card_text(card), "card.toml").shift == card.shift);
}

TEST_CASE("card: what is wrong with [temperature] is named") {
    const auto has = [](const std::string& text, const char* part) {
        INFO(text);
        CHECK(text.find(part) != std::string::npos);
    };
    has(error_of("[temperature]\nlaw = \"wlf\"\nc1 = 8.86\nc2_K = 101.6\n", ""), "reference_C");
    has(error_of("[temperature]\nlaw = \"vft\"\nreference_C = 20\n", ""), "wlf");
    has(error_of(wlf, ""), "no source for reference_C");
    has(error_of("[temperature]\nlaw = \"wlf\"\nreference_C = 20\nc1 = -1\nc2_K = 101.6\n", ""),
        "c1");
    const PolymerCard without = find_card("medium");
    has(test::message_of([&] { (void)at_temperature(without, 300.0); }), "[temperature]");
}
