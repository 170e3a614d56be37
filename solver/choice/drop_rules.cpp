// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/drop_rules.hpp"

#include "solver/core/error.hpp"
#include "solver/core/suggest.hpp"
#include "solver/core/units.hpp"

#include <array>
#include <limits>
#include <vector>

namespace cellgrade {

namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr double kN = 1e3;

constexpr const char* us_source =
    "16 CFR 1203.12(d)(2) for the limit of 300 g; 1203.17 for 5.0 kg and "
    "the speed, both from memory";
constexpr const char* eu_flat_source =
    "EN 1078, public summary: 5.42 to 5.52 m/s, at most 250 g, headforms of 3.1 to 6.1 kg";
constexpr const char* eu_kerb_source =
    "EN 1078, at most 250 g by its public summary; speed 4.57 to 4.67 m/s from memory";
constexpr const char* climbing_source =
    "EN 12492:2012, copy of its text: 5 kg, 2 m and 0.5 m, at most 10 kN";

} // namespace

std::span<const DropRule> drop_rules() {
    static const std::array<DropRule, 7> all{{
        {"us-bicycle-flat",
         "bicycle helmet, United States",
         5.0,
         6.2,
         none,
         {.peak_acceleration_g = 300.0},
         "flat",
         us_source},
        {"us-bicycle-hemisphere",
         "bicycle helmet, United States",
         5.0,
         4.8,
         none,
         {.peak_acceleration_g = 300.0},
         "hemisphere of radius 48 mm (from memory)",
         us_source},
        {"us-bicycle-kerb",
         "bicycle helmet, United States",
         5.0,
         4.8,
         none,
         {.peak_acceleration_g = 300.0},
         "kerb edge",
         us_source},
        {"eu-bicycle-flat",
         "bicycle helmet, Europe",
         none,
         5.42,
         none,
         {.peak_acceleration_g = 250.0},
         "flat",
         eu_flat_source},
        {"eu-bicycle-kerb",
         "bicycle helmet, Europe",
         none,
         4.57,
         none,
         {.peak_acceleration_g = 250.0},
         "kerb edge",
         eu_kerb_source},
        {"eu-mountain-crown",
         "mountaineering helmet, Europe, from above",
         5.0,
         none,
         2.0,
         {.peak_force_N = 10.0 * kN},
         "hemispherical striker",
         climbing_source},
        {"eu-mountain-side",
         "mountaineering helmet, Europe, front, side and rear",
         5.0,
         none,
         0.5,
         {.peak_force_N = 10.0 * kN},
         "flat striker",
         climbing_source},
    }};
    return all;
}

const DropRule& drop_rule(const std::string& name) {
    std::vector<std::string> names;
    for (const DropRule& rule : drop_rules()) {
        if (rule.name == name)
            return rule;
        names.emplace_back(rule.name);
    }
    throw Error(Fault::Input, fmt::format("unknown rule '{}'{}", name, did_you_mean(name, names)),
                {.key = "rule"});
}

} // namespace cellgrade
