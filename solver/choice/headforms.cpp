// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/headforms.hpp"

#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <array>
#include <cmath>
#include <numbers>

namespace cellgrade {

namespace {

constexpr const char* ends_known =
    "EN 960, girth from memory; mass as the public summary of EN 1078 (3.1 to 6.1 kg) has it";
constexpr const char* from_memory = "EN 960, girth and mass from memory";

} // namespace

std::span<const Headform> headforms() {
    static constexpr std::array<Headform, 6> all{{
        {"A", 0.500, 3.1, ends_known},
        {"C", 0.520, 3.6, from_memory},
        {"E", 0.540, 4.1, from_memory},
        {"J", 0.570, 4.7, from_memory},
        {"M", 0.600, 5.6, from_memory},
        {"O", 0.620, 6.1, ends_known},
    }};
    return all;
}

HeadEstimate head_of_circumference(double circumference_m) {
    const std::span<const Headform> all = headforms();
    constexpr double slack = 1e-9; // [m], for lengths that came as millimetres
    const double least = all.front().circumference_m, most = all.back().circumference_m;
    if (!(circumference_m >= least - slack && circumference_m <= most + slack))
        throw Error(
            Fault::Input,
            fmt::format("{:g} mm is outside the headforms, {:g} to {:g} mm; give mass_kg and a "
                        "shape instead",
                        circumference_m / units::mm, least / units::mm, most / units::mm),
            {.key = "headform_circumference_mm"});
    std::size_t i = 0;
    while (i + 2 < all.size() && all[i + 1].circumference_m <= circumference_m)
        ++i;
    const double t = (circumference_m - all[i].circumference_m) /
                     (all[i + 1].circumference_m - all[i].circumference_m);
    HeadEstimate head{.mass_kg = (1.0 - t) * all[i].mass_kg + t * all[i + 1].mass_kg,
                      .radius_m = circumference_m / (2.0 * std::numbers::pi)};
    head.inertia_kg_m2 = 0.4 * head.mass_kg * head.radius_m * head.radius_m;
    head.source = fmt::format(
        "mass {:.3g} kg between headforms {} and {} ({}); radius and inertia of "
        "a uniform sphere of that girth",
        head.mass_kg, all[i].name, all[i + 1].name, t < 0.5 ? all[i].source : all[i + 1].source);
    return head;
}

} // namespace cellgrade
