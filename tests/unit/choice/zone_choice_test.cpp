// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/zone_choice.hpp"

#include "solver/choice/rank.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>

using namespace cellgrade;
using test::message_of;
using test::rel_err;

namespace {

/// An invented family: stress = 60 MPa rb^2 (tanh(e / 0.03) + 30 (e / 0.75)^12), to 0.8 of strain,
/// a third given back; twice that at -10 C.
GradeTable family(const std::vector<double>& temperatures_C = {20.0}) {
    GradeTable table{.study_name = "invented family"};
    for (const double celsius : temperatures_C)
        for (const double rb : {0.06, 0.08, 0.11, 0.15, 0.2, 0.27}) {
            GradeRow row;
            row.grade = {.key = fmt::format("{} {}", celsius, rb),
                         .cell = "octet",
                         .polymer = "made-up",
                         .relative_density = rb};
            row.grade.strain_rate_per_s = 200.0;
            row.grade.temperature_C = celsius;
            row.status = "trusted";
            row.density_kg_per_m3 = 1100.0 * rb;
            const auto stress = [&](double e) {
                return (celsius < 0.0 ? 2.0 : 1.0) * 60e6 * rb * rb *
                       (std::tanh(e / 0.03) + 30.0 * std::pow(e / 0.75, 12.0));
            };
            for (int i = 0; i <= 400; ++i) {
                row.curve.nominal_strain.push_back(0.002 * i);
                row.curve.nominal_stress_Pa.push_back(stress(0.002 * i));
            }
            row.curve.turn = 401;
            row.traits = crush_traits(row.curve, {rb, 1100.0});
            for (int i = 400; i >= 0; --i) {
                row.curve.nominal_strain.push_back(0.002 * i - (i == 400 ? 1e-6 : 0.0));
                row.curve.nominal_stress_Pa.push_back(stress(0.002 * i) / 3.0);
            }
            row.curve.nominal_strain.back() = 0.0;
            table.rows.push_back(row);
        }
    return table;
}

/// A flat blow of 5 kg at 5 m/s on a pad of 25 mm and 60 cm2; limit 200 g.
ZonePlan plan() {
    ImpactDraft blow{.name = "floor"};
    blow.mass_kg = 5.0;
    blow.speed_m_per_s = 5.0;
    blow.shape = "flat";
    blow.limits.peak_acceleration_g = 200.0;
    ZonePlan out{
        .name = "test", .about = {}, .impacts = {blow}, .wearers = {}, .zones = {}, .currency = {}};
    out.zones.push_back({.name = "crown",
                         .thicknesses_m = {0.025},
                         .area_m2 = 60e-4,
                         .impacts = {"floor"},
                         .wearers = {}});
    return out;
}

ZoneChoice choose(const ZonePlan& with, const std::vector<double>& temperatures = {20.0}) {
    return choose_grades(family(temperatures), with).front();
}

double chosen_density(const ZoneChoice& choice) {
    REQUIRE(choice.chosen);
    return choice.ranked.front().grade.relative_density;
}

} // namespace

// Physics    mass m at v must be stopped on a plateau stress s: strain m v^2 / (2 s A h). Heavier
//            needs a higher plateau, or it bottoms.
TEST_CASE("zone choice: a heavier wearer gets a denser grade") {
    ZonePlan with = plan();
    with.rank_by = {RankBy::PeakAcceleration};
    double before = 0.0;
    for (const double mass : {2.5, 5.0, 10.0}) {
        with.impacts.front().mass_kg = mass;
        const double density = chosen_density(choose(with));
        CHECK(density > before);
        before = density;
    }
}

// Physics    cold polymer is stiffer: the grade that was soft enough when warm is too hard, and one
//            that must hold warm and cold is the lightest that does not bottom when warm.
TEST_CASE("zone choice: a colder day moves to a lighter grade, both days to what holds on both") {
    ZonePlan with = plan();
    const std::vector<double> both{-10.0, 20.0};
    const auto at = [&](const std::vector<double>& temperatures) {
        with.impacts.front().temperatures_C = temperatures;
        return choose(with, both);
    };
    const ZoneChoice warm = at({20.0}), cold = at({-10.0}), all = at(both);
    CHECK(chosen_density(cold) < chosen_density(warm));
    CHECK(all.ranked.front().peak_acceleration_g >= warm.ranked.front().peak_acceleration_g);
    CHECK(all.ranked.front().use > warm.ranked.front().use);
    CHECK(all.ranked.front().blows.front().temperature_C == -10.0); // the harder one decides
}

// Physics    a thinner pad has less way: v^2/2s rises, the grade must be denser.
TEST_CASE("zone choice: a thinner pad uses more of the limit and asks for a denser grade") {
    ZonePlan with = plan();
    with.rank_by = {RankBy::PeakAcceleration};
    double use = 0.0, density = 0.0;
    for (const double thickness : {0.040, 0.025, 0.016}) {
        with.zones.front().thicknesses_m = {thickness};
        const ZoneChoice choice = choose(with);
        CHECK(choice.ranked.front().use > use);
        CHECK(choice.ranked.front().grade.relative_density >= density);
        use = choice.ranked.front().use;
        density = choice.ranked.front().grade.relative_density;
    }
}

// Physics    a pad that gives back a third on the way back loads so the second time (no recovery):
//            it must be denser to stop the same body, and a pad as new needs no change.
TEST_CASE("zone choice: a second hit on a softened pad asks for a denser grade") {
    ZonePlan with = plan();
    const double once = chosen_density(choose(with));
    with.impacts.front().hits = 2;
    with.impacts.front().recovery_share = 1.0;
    CHECK(chosen_density(choose(with)) == once);
    with.impacts.front().recovery_share = 0.0;
    const ZoneChoice twice = choose(with);
    CHECK(twice.ranked.front().grade.relative_density > once);
}

// Exact      v^2/(2 g h) = 5^2/(2 9.80665 0.004) = 318.66 g; 200 g need 6.3732 mm
TEST_CASE("zone choice: nothing passes where nothing can, and the bound says why") {
    ZonePlan with = plan();
    with.zones.front().thicknesses_m = {0.003, 0.004};
    const ZoneChoice choice = choose(with);
    CHECK_FALSE(choice.chosen);
    CHECK(choice.impossible.find("no pad of 4 mm can") != std::string::npos);
    CHECK(choice.impossible.find("318.7 g") != std::string::npos);
    REQUIRE(choice.bounds.size() == 1);
    CHECK(rel_err(choice.bounds[0].ideal.peak_acceleration_g, 318.6613) < 1e-6);
    CHECK(rel_err(choice.bounds[0].ideal.least_thickness_m, 6.373226e-3) < 1e-6);
    for (const Candidate& c : choice.ranked)
        CHECK_FALSE(c.passes());
    // every candidate is above the bound: nothing beats physics
    with = plan();
    const ZoneChoice possible = choose(with);
    CHECK(possible.impossible.empty());
    for (const Candidate& c : possible.ranked)
        CHECK(c.peak_acceleration_g > ideal_peak_g(5.0, c.thickness_m));
}

// Exact      references H10: 6.2 m/s at 300 g 6.533 mm, 5.42 at 250 g 5.991, 4.8 at 300 g 3.916
TEST_CASE("ideal pad: the least stroke of three public limits") {
    const auto stroke = [](double speed, double limit) {
        ImpactCase impact{
            .name = "x", .mass_kg = 5.0, .speed_m_per_s = speed, .striker = Striker::flat()};
        impact.limits.peak_acceleration_g = limit;
        return ideal_pad(impact, 0.02).least_thickness_m;
    };
    CHECK(std::abs(stroke(6.2, 300.0) - 6.533e-3) < 5e-7);
    CHECK(std::abs(stroke(5.42, 250.0) - 5.991e-3) < 5e-7);
    CHECK(std::abs(stroke(4.8, 300.0) - 3.916e-3) < 5e-7);
}

TEST_CASE("zone choice: every loser is told why, the front holds no one that is beaten") {
    ZonePlan with = plan();
    with.zones.front().thicknesses_m = {0.020, 0.025, 0.030};
    with.price_per_kg = 50.0;
    const ZoneChoice choice = choose(with);
    REQUIRE(choice.chosen);
    CHECK(choice.ranked.size() == 18);
    CHECK(choice.ranked.front().reason.empty());
    CHECK(choice.ranked.front().on_front);
    for (std::size_t i = 1; i < choice.ranked.size(); ++i) {
        CHECK_FALSE(choice.ranked[i].reason.empty());
        CHECK_FALSE(ranks_before(choice.ranked[i], choice.ranked[i - 1], with));
    }
    for (const Candidate& a : choice.ranked)
        for (const Candidate& b : choice.ranked)
            if (a.on_front && b.passes())
                CHECK_FALSE((b.peak_acceleration_g < a.peak_acceleration_g &&
                             b.mass_kg < a.mass_kg && b.thickness_m < a.thickness_m));
    const Candidate& first = choice.ranked.front();
    CHECK(rel_err(first.mass_kg,
                  1100.0 * first.grade.relative_density * 60e-4 * first.thickness_m) < 1e-12);
    CHECK(rel_err(first.cost, 50.0 * first.mass_kg) < 1e-12);
}

// Exact      the same limits, struts half as thick as the printer makes: nothing can be made
TEST_CASE("zone choice: what cannot be printed is not chosen") {
    ZonePlan with = plan();
    GradeTable table = family();
    for (GradeRow& row : table.rows)
        row.grade.strut_diameter_m = 2.0e-3 * std::sqrt(row.grade.relative_density);
    with.least_strut_m = 0.7e-3; // 0.12 and denser
    const ZoneChoice some = choose_grades(table, with).front();
    REQUIRE(some.chosen);
    CHECK(some.ranked.front().grade.strut_diameter_m > 0.7e-3);
    with.least_strut_m = 2e-3;
    const ZoneChoice none = choose_grades(table, with).front();
    CHECK_FALSE(none.chosen);
    CHECK(none.ranked.front().reason.find("cannot be printed or washed: struts of") == 0);
}

// Exact      1/R = 1/100 - 1/120 = 1/600 mm; bulging 1/100 + 1/120 = 1/54.55 mm; equal: flat
TEST_CASE("zone choice: a hollow face is struck as by a flatter body") {
    ZonePlan with = plan();
    ImpactDraft head = with.impacts.front();
    head.shape = "sphere";
    head.radius_m = 0.1;
    Zone zone = with.zones.front();
    zone.face_radius_m = 0.12;
    CHECK(rel_err(impact_on(head, nullptr, zone).striker.semi_axes_m[0], 0.6) < 1e-12);
    zone.face_radius_m = -0.12;
    CHECK(rel_err(impact_on(head, nullptr, zone).striker.semi_axes_m[0], 0.6 / 11.0) < 1e-12);
    zone.face_radius_m = 0.1;
    CHECK(impact_on(head, nullptr, zone).striker.shape == StrikerShape::Flat);
    zone.face_radius_m = 0.09;
    CHECK(message_of([&] { (void)impact_on(head, nullptr, zone); }).find("touched at its rim") !=
          std::string::npos);
}

TEST_CASE("zone choice: one design for all wearers, and one each") {
    ZonePlan with = plan();
    with.rank_by = {RankBy::PeakAcceleration};
    with.wearers = {{.name = "child", .mass_kg = 2.5}, {.name = "adult", .mass_kg = 7.0}};
    with.zones.front().wearers = {"child", "adult"};
    with.impacts.front().mass_kg.reset();
    with.impacts.front().limits.peak_acceleration_g = 300.0;
    const ZoneChoice choice = choose(with);
    REQUIRE(choice.for_one.size() == 2);
    REQUIRE(choice.for_one[0].best >= 0);
    REQUIRE(choice.for_one[1].best >= 0);
    const auto density = [&](const ZoneChoice::ForOne& one) {
        return choice.ranked[static_cast<std::size_t>(one.best)].grade.relative_density;
    };
    CHECK(density(choice.for_one[0]) < density(choice.for_one[1]));
    CHECK(choice.ranked.front().blows.size() == 2);
}

TEST_CASE("zone plan: reads a file, and says what is wrong and where") {
    const test::ScratchFolder scratch;
    const std::string good = R"(schema = 1
name = "pad"
[[impact]]
name = "floor"
speed_m_per_s = 4.0
shape = "flat"
[impact.limits]
peak_force_kN = 5.0
[[wearer]]
name = "adult"
mass_kg = 5.0
[[zone]]
name = "knee"
thicknesses_mm = [15, 10]
area_mm2 = 5000
impacts = ["floor"]
wearers = ["adult"]
[print]
price_per_kg = 60.0
currency = "EUR"
)";
    const auto read = [&](std::string text) {
        const auto file = scratch.path() / "plan.toml";
        std::ofstream(file) << text;
        return read_zone_plan(file);
    };
    const ZonePlan got = read(good);
    CHECK(got.zones.front().thicknesses_m == std::vector<double>{0.010, 0.015});
    CHECK(rel_err(got.zones.front().area_m2, 5e-3) < 1e-14);
    CHECK(got.price_per_kg == 60.0);
    const auto complaint = [&](const std::string& from, const std::string& to) {
        std::string text = good;
        text.replace(text.find(from), from.size(), to);
        return message_of([&] { (void)read(text); });
    };
    CHECK(complaint("[\"floor\"]", "[\"flor\"]").find("no impact is called 'flor'") !=
          std::string::npos);
    CHECK(complaint("[\"floor\"]", "[\"flor\"]").find("plan.toml:16") != std::string::npos);
    CHECK(complaint("area_mm2 = 5000", "area_mm2 = 0").find("area_mm2") != std::string::npos);
    CHECK(complaint("mass_kg = 5.0", "mas_kg = 5.0").find("headform_circumference_mm or mass_kg") !=
          std::string::npos);
    CHECK(complaint("shape = \"flat\"", "").find("floor in zone knee on adult") !=
          std::string::npos);
    CHECK(complaint("currency", "curency").find("curency") != std::string::npos);
}

// Physics    a soft layer on a firm one: a light body is stopped by the soft layer, more gently
// than
//            the firm grade alone stops it; a heavy one goes on into the firm layer, where the soft
//            grade alone is crushed far past its plateau.
TEST_CASE("zone choice: layers serve a light blow and a heavy one") {
    ZonePlan with = plan();
    ImpactDraft tap = with.impacts.front();
    tap.name = "tap";
    tap.mass_kg = 1.0;
    tap.speed_m_per_s = 2.0;
    tap.limits = {};
    with.impacts.push_back(tap);
    with.zones.front().impacts = {"floor", "tap"};
    with.zones.front().layers = {1, 2};
    const ZoneChoice choice = choose(with);
    CHECK(choice.ranked.size() == 6 + 15); // six grades, and every two of them
    const auto named = [&](const std::string& label) {
        for (const Candidate& c : choice.ranked)
            if (c.grade.label() == label)
                return c;
        FAIL("no candidate ", label);
        return Candidate{};
    };
    const Candidate soft = named("octet 0.06"), firm = named("octet 0.2"),
                    both = named("octet 0.06 + 0.2");
    CHECK(both.blows[0].verdict != LimitVerdict::Unknown);
    CHECK(both.blows[0].peak_acceleration_g < 0.5 * soft.blows[0].peak_acceleration_g);
    CHECK(both.blows[1].peak_acceleration_g < 0.5 * firm.blows[1].peak_acceleration_g);
    CHECK(rel_err(both.mass_kg, 0.5 * (soft.mass_kg + firm.mass_kg)) < 1e-12);
}
