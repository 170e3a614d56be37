// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/card_doubt.hpp"

#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>
#include <string>

using namespace cellgrade;

namespace {

/// As `calibrate` writes it; invented numbers.
PolymerCard fitted() {
    return parse_card(R"(schema = 1
name = "fitted"
source = "invented"
density_kg_per_m3 = 1100
[law]
kind = "yeoh"
instantaneous_c10_MPa = 4.0
instantaneous_c20_MPa = -0.3
instantaneous_c30_MPa = 0.05
bulk_modulus_MPa = 200
void_fraction = 0.02
[[prony]]
share = 0.2
time_s = 0.05
[[prony]]
share = 0.1
time_s = 1.0
[damage]
r = 2.0
m_kJ_per_m3 = 50
beta = 0.1
[sources]
density_kg_per_m3 = "given"
instantaneous_c10_MPa = "fit to a.csv, b.csv; 95 % interval 3.8 to 4.2 MPa"
instantaneous_c20_MPa = "fit to a.csv, b.csv; 95 % interval -0.4 to -0.2 MPa"
instantaneous_c30_MPa = "fit to a.csv, b.csv; not determined by them"
bulk_modulus_MPa = "from the fitted shear modulus"
void_fraction = "given: 6 coupons; 95 % interval of the mean 0.01 to 0.03"
prony = "fit to r.csv; root mean square residual 0.5 %; 95 % intervals of the shares 0.18 to 0.22, 0.05 to 0.15; master curve at 23 C"
damage = "joint fit with the law to a.csv to c.csv; 95 % intervals r 1.8 to 2.2, m_kJ_per_m3 40 to 60, beta not determined"
)",
                      "card");
}

double by(const CardDoubts& doubts, const std::string& key) {
    const auto found = std::find_if(doubts.values.begin(), doubts.values.end(),
                                    [&](const CardChange& c) { return c.key == key; });
    return found == doubts.values.end() ? std::numeric_limits<double>::quiet_NaN() : found->by;
}

} // namespace

// Exact      half of the interval over 1.96, the 97.5 % quantile of the normal distribution
TEST_CASE("card doubts: intervals in the sources are standard uncertainties") {
    const CardDoubts d = card_doubts(fitted());
    CHECK(d.values.size() == 6);
    CHECK(test::rel_err(by(d, "instantaneous_c10_MPa"), 0.2 / 1.959964) < 1e-6);
    CHECK(test::rel_err(by(d, "instantaneous_c20_MPa"), 0.1 / 1.959964) < 1e-6);
    CHECK(test::rel_err(by(d, "prony.1"), 0.02 / 1.959964) < 1e-6);
    CHECK(test::rel_err(by(d, "prony.2"), 0.05 / 1.959964) < 1e-6);
    CHECK(test::rel_err(by(d, "damage.r"), 0.2 / 1.959964) < 1e-6);
    CHECK(test::rel_err(by(d, "damage.m_kJ_per_m3"), 10.0 / 1.959964) < 1e-6);
    CHECK(d.undetermined == std::vector<std::string>{"instantaneous_c30_MPa", "damage.beta"});
}

TEST_CASE("card doubts: cards that were not fitted have none") {
    for (const std::string& name : card_names()) {
        const CardDoubts d = card_doubts(find_card(name));
        CHECK(d.values.empty());
        CHECK(d.undetermined.empty());
    }
}

TEST_CASE("changed card: one value moves in its own unit, the rest stays") {
    const PolymerCard card = fitted();
    const auto yeoh = [](const PolymerCard& c) { return std::get<Yeoh>(c.law); };
    const PolymerCard c10 = changed(card, {"instantaneous_c10_MPa", 0.5});
    CHECK(test::rel_err(yeoh(c10).C10, 4.5e6) < 1e-14);
    CHECK(yeoh(c10).C20 == yeoh(card).C20);
    const PolymerCard share = changed(card, {"prony.2", 0.05});
    CHECK(test::rel_err(share.prony[1].share, 0.15) < 1e-14);
    CHECK(share.prony[0].share == card.prony[0].share);
    CHECK(test::rel_err(changed(card, {"damage.m_kJ_per_m3", 10.0}).damage->m, 60e3) < 1e-14);
    // every stress and energy, no share and no stretch
    const PolymerCard stiff = changed(card, {"stiffness", 0.05});
    CHECK(test::rel_err(yeoh(stiff).C30, 1.05 * yeoh(card).C30) < 1e-14);
    CHECK(test::rel_err(yeoh(stiff).kappa, 1.05 * yeoh(card).kappa) < 1e-14);
    CHECK(test::rel_err(stiff.damage->m, 1.05 * card.damage->m) < 1e-14);
    CHECK(stiff.damage->r == card.damage->r);
    CHECK(stiff.prony[0].share == card.prony[0].share);
}

TEST_CASE("changed card: a value that is not there or makes the card wrong is refused") {
    CHECK_THROWS_AS((void)changed(fitted(), {"instantaneous_c40_MPa", 0.5}), Error);
    CHECK_THROWS_AS((void)changed(fitted(), {"prony.3", 0.1}), Error);
    CHECK_THROWS_AS((void)changed(fitted(), {"prony.1", 0.9}), Error); // shares above 1
    CHECK_THROWS_AS((void)changed(find_card("medium"), {"damage.r", 0.1}), Error);
}
