// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/impact_reader.hpp"

#include "solver/choice/drop_rules.hpp"
#include "solver/choice/headforms.hpp"
#include "solver/choice/impact_draft.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;
using test::message_of;
using test::rel_err;

namespace {

std::vector<ImpactCase> impacts_in(const std::string& text) {
    return impacts_of(parse_keyed_text(text, "blows.toml"));
}

std::string complaint(const std::string& keys) {
    return message_of([&] { (void)impacts_in("[[impact]]\nname = \"fall\"\n" + keys); });
}

} // namespace

TEST_CASE("impact file: every key arrives in SI") {
    const ImpactCase impact = impacts_in(R"([[impact]]
name = "side"
mass_kg = 4.2
speed_m_per_s = 5
shape = "ellipsoid"
semi_axes_mm = [95, 75, 110]
with_weight = true
hits = 2
recovery_share = 0.5
temperatures_C = [-10, 20]
tangential_speed_m_per_s = 3.5
friction = 0.4
inertia_kg_m2 = 0.02
lever_mm = 100
rotation_axis = "y"
limits = { peak_acceleration_g = 250, peak_force_kN = 10, hic15 = 700, hic36 = 1000, severity_index = 1500, bric = 1, peak_angular_acceleration_rad_per_s2 = 10000 }
)")
                                  .front();
    CHECK(impact.name == "side");
    CHECK(impact.mass_kg == 4.2);
    CHECK(impact.speed_m_per_s == 5.0);
    CHECK(impact.striker.shape == StrikerShape::Ellipsoid);
    CHECK(rel_err(impact.striker.semi_axes_m[1], 0.075) < 1e-12);
    CHECK(impact.with_weight);
    CHECK(impact.hits == 2);
    CHECK(impact.recovery_share == 0.5);
    CHECK(impact.temperatures_C == std::vector<double>{-10.0, 20.0});
    CHECK(impact.oblique.tangential_speed_m_per_s == 3.5);
    CHECK(impact.oblique.friction == 0.4);
    CHECK(rel_err(impact.oblique.lever_m, 0.1) < 1e-12);
    CHECK(impact.oblique.axis == HeadAxis::Y);
    CHECK(impact.limits.peak_force_N == 10e3);
    CHECK(impact.limits.hic15 == 700.0);
    CHECK(impact.limits.bric == 1.0);
}

// Source: v^2 = 2 g0 h, references H11 and H14.
TEST_CASE("impact file: a drop height is a speed") {
    const auto speed = [](const char* height) {
        return impacts_in(std::string("[[impact]]\nname = \"drop\"\nmass_kg = 5\nshape = \"flat\"\n"
                                      "drop_height_m = ") +
                          height + "\n")
            .front()
            .speed_m_per_s;
    };
    CHECK(rel_err(speed("2.0"), 6.263114) < 1e-6);
    CHECK(rel_err(speed("1.5"), 5.424016) < 1e-6);
    CHECK(rel_err(speed("0.5"), 3.131557) < 1e-6);
}

TEST_CASE("impact file: a girth is enough for mass and shape, a rule for speed and limits") {
    const ImpactCase impact = impacts_in("[[impact]]\nname = \"a\"\nrule = \"eu-bicycle-flat\"\n"
                                         "headform_circumference_mm = 585\n")
                                  .front();
    CHECK(rel_err(impact.mass_kg, 0.5 * (4.7 + 5.6)) < 1e-12); // half way between J and M
    CHECK(rel_err(impact.striker.semi_axes_m[0], 0.585 / (2.0 * std::numbers::pi)) < 1e-12);
    CHECK(impact.speed_m_per_s == 5.42);
    CHECK(impact.limits.peak_acceleration_g == 250.0);
    CHECK(std::isnan(impact.limits.peak_force_N));
    CHECK(impact.sources.size() == 2);
    // The user's own values go first, one by one.
    const ImpactCase own =
        impacts_in("[[impact]]\nname = \"a\"\nrule = \"us-bicycle-flat\"\nmass_kg = 4\n"
                   "shape = \"flat\"\nspeed_m_per_s = 3\nlimits = { hic15 = 700 }\n")
            .front();
    CHECK(own.mass_kg == 4.0);
    CHECK(own.speed_m_per_s == 3.0);
    CHECK(own.limits.hic15 == 700.0);
    CHECK(own.limits.peak_acceleration_g == 300.0);
}

// Source: references H12, H13, H14: energies of 5 kg at the rules' speeds.
TEST_CASE("drop rules: energies of 5 kg") {
    const auto energy = [](const char* name) {
        const ImpactCase impact =
            complete_impact({.name = "", .rule = name, .mass_kg = 5.0, .shape = "flat"});
        return 0.5 * impact.mass_kg * impact.speed_m_per_s * impact.speed_m_per_s;
    };
    CHECK(rel_err(energy("eu-bicycle-flat"), 73.5) < 1e-3);
    CHECK(rel_err(energy("eu-mountain-crown"), 98.07) < 1e-3);
    CHECK(rel_err(energy("us-bicycle-flat"), 96.1) < 1e-3);
    for (const DropRule& rule : drop_rules()) {
        CHECK(std::isnan(rule.height_m) != std::isnan(rule.speed_m_per_s));
        CHECK(std::string(rule.source).size() > 10);
    }
}

TEST_CASE("headforms: masses and girths rise, the ends are those of the public summary") {
    const auto all = headforms();
    for (std::size_t i = 1; i < all.size(); ++i) {
        CHECK(all[i].circumference_m > all[i - 1].circumference_m);
        CHECK(all[i].mass_kg > all[i - 1].mass_kg);
    }
    CHECK(head_of_circumference(0.5).mass_kg == 3.1);
    CHECK(rel_err(head_of_circumference(0.62).mass_kg, 6.1) < 1e-12);
    const HeadEstimate head = head_of_circumference(0.57);
    CHECK(rel_err(head.inertia_kg_m2, 0.4 * head.mass_kg * head.radius_m * head.radius_m) < 1e-12);
}

TEST_CASE("impact file: one line says where and what would be right") {
    CHECK(complaint("mass_kg = 5\nshape = \"flat\"\n") ==
          "blows.toml:1:1: impact[0]: speed_m_per_s: a speed is needed: speed_m_per_s, "
          "drop_height_m or "
          "a rule");
    CHECK(
        complaint("mass_kg = 5\nshape = \"flat\"\nspeed_m_per_s = 2\ndrop_height_m = 1\n") ==
        "blows.toml:6:17: impact[0].drop_height_m: a speed is given too; one of the two is enough");
    CHECK(complaint("mass_kg = 5\nshape = \"flat\"\nspeed_m_per_s = 500\n") ==
          "blows.toml:5:17: impact[0].speed_m_per_s: 500 is out of range; 0.01 to 100 is allowed");
    CHECK(complaint("mass_kg = 5\nshape = \"flatt\"\nspeed_m_per_s = 5\n")
              .find("did you mean flat") != std::string::npos);
    CHECK(complaint("mass_kg = 5\nshape = \"flat\"\nradius_mm = 5\nspeed_m_per_s = 5\n") ==
          "blows.toml:5:13: impact[0].radius_mm: belongs to a sphere, not to flat");
    CHECK(complaint("rule = \"eu-bicycle-flatt\"\n").find("did you mean eu-bicycle-flat") !=
          std::string::npos);
    CHECK(complaint("headform_circumference_mm = 700\nspeed_m_per_s = 5\n")
              .find("outside the headforms, 500 to 620 mm") != std::string::npos);
    CHECK(complaint("mass = 5\n").find("mass") != std::string::npos);
    CHECK(complaint("mass_kg = 5\nshape = \"flat\"\nspeed_m_per_s = 5\nfriction = 0.3\n") ==
          "blows.toml:6:12: impact[0].friction: belongs to a slanting blow; give "
          "tangential_speed_m_per_s too");
    CHECK(message_of([] {
              (void)impacts_in("schema = 1\n");
          }).find("no impact; each is a table [[impact]]") != std::string::npos);
    CHECK(message_of([] {
              (void)impacts_in("[[impact]]\nname = \"a\"\nmass_kg = 5\nshape = \"flat\"\n"
                               "speed_m_per_s = 5\n[[impact]]\nname = \"a\"\nmass_kg = 5\n"
                               "shape = \"flat\"\nspeed_m_per_s = 5\n");
          }).find("another impact is called 'a' too") != std::string::npos);
}
