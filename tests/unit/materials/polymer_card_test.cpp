// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/polymer_card.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>

using namespace cellgrade;

namespace {

/// The medium card with one line changed.
std::string with(const std::string& from, const std::string& to) {
    std::string text(built_in_card_text("medium"));
    const auto at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

std::string error_of(const std::string& from, const std::string& to) {
    return test::message_of([&] { (void)parse_card(with(from, to), "card.toml"); });
}

bool contains(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

bool equal(const PolymerCard& a, const PolymerCard& b) {
    bool same = a.name == b.name && a.source == b.source &&
                a.density_kg_per_m3 == b.density_kg_per_m3 && a.law.index() == b.law.index() &&
                a.prony.size() == b.prony.size() && a.damage == b.damage && a.valid == b.valid &&
                a.friction_on_itself == b.friction_on_itself &&
                a.friction_on_platen == b.friction_on_platen && a.sources == b.sources;
    for (std::size_t i = 0; same && i < a.prony.size(); ++i)
        same = a.prony[i].share == b.prony[i].share && a.prony[i].time_s == b.prony[i].time_s;
    if (same)
        std::visit(
            [&]<class Law>(const Law& law) {
                for (const auto& p : Law::parameters())
                    same = same && law.*p.member == std::get<Law>(b.law).*p.member;
            },
            a.law);
    return same;
}

} // namespace

TEST_CASE("built-in cards: read, pass their own checks and raise no note") {
    CHECK(card_names() == std::vector<std::string>{"hard", "medium", "soft"});
    for (const std::string& name : card_names()) {
        const PolymerCard card = find_card(name);
        INFO(name);
        CHECK(card.name == name);
        CHECK_NOTHROW(card.check());
        CHECK(plausibility_notes(card).empty());
        CHECK(contains(card.source, "invented"));
    }
}

// Source: references I4, I5 (Haid et al 2022: 24 to 247 MPa, up to +183 % at 16 1/s), I6, I8.
TEST_CASE("built-in cards: slow modulus by hardness, density and loss are inside handbook ranges") {
    struct Range {
        const char* name;
        double E_min, E_max; // MPa, small strain, by Shore A (I6)
    };
    for (const Range& r : {Range{"soft", 3, 8}, Range{"medium", 10, 30}, Range{"hard", 25, 80}}) {
        const PolymerCard card = find_card(r.name);
        INFO(r.name);
        const double mu = shear_modulus_Pa(card) * relaxation(card.prony, 10.0);
        const double slow = moduli_from_shear_and_bulk(mu, bulk_modulus_Pa(card)).E0 / 1e6;
        CHECK(slow > r.E_min);
        CHECK(slow < r.E_max);
        CHECK(card.density_kg_per_m3 >= 1100.0);
        CHECK(card.density_kg_per_m3 <= 1250.0);
        for (const double hertz : {1.0, 10.0, 100.0}) {
            const DynamicShare d = dynamic_share(card.prony, 2.0 * M_PI * hertz);
            CHECK(d.loss / d.storage > 0.05);
            CHECK(d.loss / d.storage < 0.3);
        }
        const double rise = relaxation(card.prony, 1e-3) / relaxation(card.prony, 10.0) - 1.0;
        CHECK(rise > 0.2);
        CHECK(rise < 1.83);
    }
}

// Source: references F28, Hashin & Shtrikman 1963, void phase.
TEST_CASE("built-in cards: bulk modulus is the bound their source line names") {
    const auto bound = [](double G, double K, double v) {
        return 4.0 * G * K * (1.0 - v) / (4.0 * G + 3.0 * K * v);
    };
    for (const auto& [name, K] : {std::pair{"soft", 1.5e9}, {"medium", 1.5e9}, {"hard", 2e9}}) {
        const PolymerCard card = find_card(name);
        CHECK(test::rel_err(bulk_modulus_Pa(card),
                            bound(shear_modulus_Pa(card), K, void_fraction(card))) < 3e-3);
    }
}

TEST_CASE("card moduli: instantaneous and long-term follow from shear, bulk and shares") {
    const PolymerCard card = parse_card(with("kind", "kind"), "card.toml");
    CHECK(shear_modulus_Pa(card) == 16e6);
    const double K = 611e6, mu = 16e6 * 0.29; // shares of the card add up to 0.71
    CHECK(test::rel_err(long_term_shear_modulus_Pa(card), mu) < 1e-12);
    CHECK(test::rel_err(long_term_youngs_modulus_Pa(card), 9 * K * mu / (3 * K + mu)) < 1e-12);
    CHECK(test::rel_err(youngs_modulus_Pa(card), 9 * K * 16e6 / (3 * K + 16e6)) < 1e-14);
    CHECK(test::rel_err(youngs_modulus_Pa(card), 2 * 16e6 * (1 + poissons_ratio(card))) < 1e-14);
    CHECK(law_kind(card) == "yeoh");
    CHECK(void_fraction(card) == 0.02);
}

// Exact      a Hill foam relaxes as a whole: E(long) = g_inf E, at the same Poisson's ratio.
TEST_CASE("card moduli: a law that does not split relaxes its bulk modulus too") {
    PolymerCard card = find_card("soft");
    card.law = HillFoam{.mu_1 = 1e6, .alpha_1 = 2.0, .nu_1 = 0.2, .void_fraction = 0.7};
    const double E = 2.0 * 1e6 * 1.2;
    CHECK(test::rel_err(youngs_modulus_Pa(card), E) < 1e-14);
    CHECK(test::rel_err(long_term_youngs_modulus_Pa(card), long_term_share(card.prony) * E) <
          1e-13);
}

TEST_CASE("card_text: a card read back is the same card, bit for bit") {
    for (const std::string& name : card_names()) {
        const PolymerCard card = find_card(name);
        CHECK(equal(parse_card(card_text(card), "again"), card));
    }
    PolymerCard odd = find_card("soft");
    odd.name = "quote \" slash \\ tab\t line\n end";
    odd.valid = {};
    odd.prony.clear();
    odd.sources.erase("prony");
    for (const char* key : {"stretch_min", "stretch_max", "rate_min_per_s", "rate_max_per_s"})
        odd.sources.erase(key);
    odd.friction_on_itself = 0.0;
    odd.damage = MullinsDamage{.r = 1.7, .m = 123.4567891, .beta = 0.0};
    odd.sources["damage"] = "invented";
    CHECK(equal(parse_card(card_text(odd), "again"), odd));
}

TEST_CASE("card_text: every law of the registry comes back with its parameters") {
    Laws::for_each([]<class Law>() {
        PolymerCard card = find_card("soft");
        Law law{};
        for (const auto& p : Law::parameters()) {
            const bool share =
                p.range == ParameterRange::Share || p.range == ParameterRange::Poisson;
            law.*p.member = share ? 0.1234567890123 : 1.2345678901234 * p.to_SI;
            card.sources.emplace(p.key, "test");
        }
        if constexpr (std::is_same_v<Law, TabulatedFoam>) { // not any number will do
            law.spacing = 0.01234567890123;
            law.closing_exponent = 5.0;
        }
        for (const auto& old : NeoHookean::parameters()) // the law of the card before
            if (std::ranges::none_of(Law::parameters(),
                                     [&](const auto& p) { return p.key == old.key; }))
                card.sources.erase(std::string(old.key));
        card.law = law;
        CHECK(equal(parse_card(card_text(card), "again"), card));
    });
}

TEST_CASE("card_text: a law without its optional terms is written and read without their keys") {
    const Ogden law{.mu_1 = 2e6,
                    .alpha_1 = 2.0,
                    .mu_2 = 0.0,
                    .alpha_2 = 0.0,
                    .mu_3 = -1e5,
                    .alpha_3 = -3.0,
                    .mu_4 = 0.0,
                    .alpha_4 = 0.0,
                    .kappa = 1e8,
                    .void_fraction = 0.0};
    PolymerCard card = find_card("soft");
    card.law = law;
    card.sources.erase("instantaneous_shear_modulus_MPa");
    for (const char* key :
         {"instantaneous_mu_1_MPa", "alpha_1", "instantaneous_mu_3_MPa", "alpha_3"})
        card.sources.emplace(key, "test");
    const std::string text = card_text(card);
    CHECK(equal(parse_card(text, "again"), card));
    CHECK(!contains(text, "mu_2"));
    CHECK(!contains(text, "alpha_4"));
    const auto error = [&](const std::string& from, const std::string& to) {
        std::string changed = text;
        changed.replace(changed.find(from), from.size(), to);
        return test::message_of([&] { (void)parse_card(changed, "card.toml"); });
    };
    CHECK(contains(error("alpha_3 = -3", "alpha_3 = 0"),
                   "alpha_3: 0 is not allowed; leave the key out instead"));
    CHECK(contains(error("alpha_1 = 2", "alpha_1 = 0"),
                   "alpha_1: 0 is not allowed; a number other than 0 is needed"));
    CHECK(contains(error("alpha_3 = -3", ""), "alpha_3 belong together"));
    CHECK(contains(error("alpha_1 = 2", "alpha_1 = -2"), "law.kind: ogden law: the initial shear"));
}

TEST_CASE("PolymerCard::check: a value without source and a source without value are errors") {
    PolymerCard card = find_card("soft");
    card.sources.erase("prony");
    CHECK(contains(test::message_of([&] { (void)card_text(card); }), "no source for prony"));
    card = find_card("soft");
    card.prony.clear();
    CHECK(contains(test::message_of([&] { card.check(); }), "prony is no value of this card"));
    card = find_card("soft");
    card.valid.stretch_max = 0.5;
    CHECK(contains(test::message_of([&] { card.check(); }), "valid.stretch_max = 0.5"));
    card = find_card("soft");
    card.friction_on_itself = -0.1;
    CHECK(
        contains(test::message_of([&] { card.check(); }), "friction.coefficient_on_itself = -0.1"));
}

TEST_CASE("write_card: the file reads back; a folder that is not there is an input error") {
    const auto path = std::filesystem::temp_directory_path() / "cellgrade_card_test.toml";
    const PolymerCard card = find_card("hard");
    write_card(card, path);
    CHECK(equal(find_card(path.string()), card));
    std::filesystem::remove(path);
    CHECK(contains(test::message_of([&] { write_card(card, "no/such/folder/x.toml"); }),
                   "no/such/folder/x.toml: cannot be written"));
}

TEST_CASE("parse_card: every wrong line is named with its place and what would be right") {
    struct Case {
        const char *from, *to, *place, *right;
    };
    const Case cases[] = {
        {"schema = 1", "schema = 2", "schema", "1 is needed"},
        {"density_kg_per_m3 = 1150", "density_g_per_cm3 = 1.15", "density_g_per_cm3",
         "write density_kg_per_m3"},
        {"density_kg_per_m3 = 1150", "density = 1150", "density", "write density_kg_per_m3"},
        {"density_kg_per_m3 = 1150", "density_kg_per_m3 = -3", "density_kg_per_m3", "above 0"},
        {"density_kg_per_m3 = 1150", "density_kg_per_m3 = '1150'", "density_kg_per_m3",
         "a number is needed"},
        {"kind = \"yeoh\"", "kind = \"yoeh\"", "law.kind", "yeoh"},
        {"instantaneous_c10_MPa = 8.0", "instantaneous_c10_GPa = 0.008",
         "law.instantaneous_c10_GPa", "write instantaneous_c10_MPa"},
        {"instantaneous_c10_MPa = 8.0", "instantaneous_c10_MPa = 0", "law.instantaneous_c10_MPa",
         "above 0"},
        {"instantaneous_c20_MPa", "instantaneous_c2_MPa", "law.instantaneous_c2_MPa",
         "did you mean instantaneous_c20_MPa"},
        {"bulk_modulus_MPa = 611.0", "bulk_modulus_MPa = 611.0\ncolour = 1", "law.colour",
         "unknown key"},
        {"void_fraction = 0.02", "void_fraction = 1.0", "law.void_fraction", "below 1"},
        {"share = 0.18", "share = 0", "prony[0].share", "above 0"},
        {"share = 0.18", "share = 0.9", "prony[1].share", "less than 1"},
        {"time_s = 1e-4", "time_ms = 0.1", "prony[0].time_ms", "write time_s"},
        {"time_s = 1e-4", "time_s = -1", "prony[0].time_s", "above 0"},
        {"stretch_min = 0.4", "stretch_min = 1.4", "valid.stretch_min", "below 1"},
        {"stretch_max = 2.0", "stretch_max = 0.5", "valid.stretch_max", "above 1"},
        {"rate_min_per_s = 1e-4", "rate_min_per_s = 1e4", "valid.rate_min_per_s",
         "below rate_max_per_s"},
        {"coefficient_on_itself = 0.5", "coefficient_on_itself = -0.5",
         "friction.coefficient_on_itself", "0 or a number above"},
        {"prony = \"", "pronny = \"", "sources.pronny", "did you mean prony"},
        {"prony = \"", "# \"", "sources", "no source for prony"},
        {"void_fraction = \"", "temperature = \"x\"\nvoid_fraction = \"", "sources.temperature",
         "unknown key"},
        {"[valid]", "[damage]\nr = 1.0\nm_kJ_per_m3 = 50\nbeta = 0.1\n[valid]", "damage.r",
         "above 1"},
        {"[valid]", "[damage]\nr = 2\nm_MJ_per_m3 = 50\nbeta = 0.1\n[valid]", "damage.m_MJ_per_m3",
         "write m_kJ_per_m3"},
        {"[valid]", "[damage]\nr = 2\nm_kJ_per_m3 = 50\nbeta = -0.1\n[valid]", "damage.beta",
         "0 or a number above"},
        {"[valid]", "[damage]\nr = 2\nm_kJ_per_m3 = 50\nbeta = 0.1\n[valid]", "sources",
         "no source for damage"},
        {"name = \"medium\"", "name = \"\"", "name", "a text is needed"},
        {"[friction]", "[frictoin]", "frictoin", "did you mean friction"},
        {"[valid]", "[valid", "not valid TOML", ""},
    };
    for (const Case& c : cases) {
        const std::string message = error_of(c.from, c.to);
        INFO(message);
        CHECK(contains(message, "card.toml"));
        CHECK(contains(message, c.place));
        CHECK(contains(message, c.right));
        CHECK(!contains(message, "\n"));
    }
    // Line and column are those of the line that was changed.
    const std::string text = with("time_s = 1e-4", "time_ms = 0.1");
    const auto line = std::count(text.begin(), text.begin() + text.find("time_ms"), '\n') + 1;
    CHECK(contains(error_of("time_s = 1e-4", "time_ms = 0.1"),
                   "card.toml:" + std::to_string(line) + ":"));
}

TEST_CASE("find_card: a name that is not known gets the nearest, a path its own error") {
    CHECK(contains(test::message_of([] { (void)find_card("meduim"); }), "did you mean medium"));
    CHECK(contains(test::message_of([] { (void)find_card("no/such.toml"); }), "no/such.toml"));
}

TEST_CASE("plausibility_notes: name what is outside its band") {
    PolymerCard card = find_card("soft");
    card.density_kg_per_m3 = 1.12; // g/cm3 by mistake
    card.law = NeoHookean{.mu = 3e9, .kappa = 119e9, .void_fraction = 0.0};
    const std::vector<std::string> notes = plausibility_notes(card);
    REQUIRE(notes.size() == 3);
    CHECK(contains(notes[0], "density = 1.12 kg/m3"));
    CHECK(contains(notes[1], "instantaneous Young's modulus"));
    CHECK(contains(notes[2], "long-term Young's modulus"));

    card = find_card("soft");
    card.law = Yeoh{.C10 = 3e6, .C20 = -5e5, .C30 = 0.0, .kappa = 1e9, .void_fraction = 0.0};
    REQUIRE(plausibility_notes(card).size() == 1);
    CHECK(contains(plausibility_notes(card)[0], "stable from stretch"));
}
