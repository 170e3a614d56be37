// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_print.hpp"

#include "materials/print/sampled_print.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace cellgrade {

namespace {

bool has_scatter(const PrintEffects& print) {
    return print.void_fraction || (print.diameter_offset && print.diameter_offset->scatter) ||
           (print.build_direction_factor && print.build_direction_factor->scatter);
}

/// "0.85 to 1", scaled by what the run itself has.
std::string band(double factor, double used) {
    return fmt::format("{:.3g} to {:.3g}", std::min(factor, 1.0) / used,
                       std::max(factor, 1.0) / used);
}

void take_sample(StudyPrint& p, Index seed) {
    CELLGRADE_CHECK(p.polymer.print && has_scatter(*p.polymer.print),
                    "the card '{}' has no scatter (void_fraction_sd, diameter_offset_sd_mm or "
                    "build_direction_factor_sd), so all its prints are alike; leave the key out",
                    p.polymer.name);
    const PrintSample one =
        sampled_print(*p.polymer.print, void_fraction(p.polymer), static_cast<std::uint64_t>(seed));
    std::string note =
        fmt::format("print of scatter_seed {}: porosity {:.4g}", seed, one.void_fraction);
    if (p.polymer.print->diameter_offset)
        note += fmt::format(", offset {:.4g} mm", one.diameter_offset / units::mm);
    if (one.build_direction_factor)
        note += fmt::format(", build-direction factor {:.4g}", *one.build_direction_factor);
    p.notes.push_back(note);
    p.polymer = card_of_print(p.polymer, one);
}

void take_offset(StudyPrint& p, bool as_drawn) {
    if (!p.polymer.print || !p.polymer.print->diameter_offset) {
        if (as_drawn)
            p.notes.push_back(fmt::format("as_drawn: the card '{}' has no diameter_offset_mm that "
                                          "could be left out",
                                          p.polymer.name));
        return;
    }
    const double offset = p.polymer.print->diameter_offset->mean;
    if (!as_drawn)
        p.diameter_offset = offset;
    p.notes.push_back(
        as_drawn ? fmt::format("as_drawn: struts and walls are as drawn, without the offset of "
                               "{:.3g} mm that the card has",
                               offset / units::mm)
                 : fmt::format("printed: struts and walls are {:.3g} mm {} than drawn, half of it "
                               "on each side (diameter_offset_mm of the card)",
                               std::abs(offset) / units::mm, offset < 0.0 ? "thinner" : "thicker"));
}

void take_factor(StudyPrint& p, const std::optional<int>& axis, ModelKind model) {
    const char name = static_cast<char>('x' + axis.value_or(0));
    if (!p.polymer.print || !p.polymer.print->build_direction_factor) {
        if (axis)
            p.notes.push_back(fmt::format("build_direction {}: the card '{}' has no "
                                          "build_direction_factor, so the polymer counts as "
                                          "isotropic",
                                          name, p.polymer.name));
        return;
    }
    const double f = p.polymer.print->build_direction_factor->mean;
    if (!axis) {
        p.notes.push_back(fmt::format("the card's build-direction factor of {:.3g} is not used, as "
                                      "the study names no print.build_direction; with it stiffness "
                                      "lies within {} of that here, and stress about so",
                                      f, band(f, 1.0)));
        return;
    }
    p.factor = f;
    if (model == ModelKind::Beams) {
        p.notes.push_back(fmt::format("build_direction {}: struts along it carry {:.3g} of what "
                                      "struts across it carry, those between by their angle",
                                      name, f));
        return;
    }
    const double used = factor_at_angle(f, name == 'z' ? 1.0 : 0.0);
    p.notes.push_back(
        fmt::format("build_direction {}: the whole law is scaled by {:.3g}, the "
                    "factor of the direction of loading; parts that lie otherwise "
                    "are not told apart, so stiffness lies within {} of that here, and "
                    "stress about so",
                    name, used, band(f, used)));
}

} // namespace

StudyPrint study_print(const PrintChoice& choice, const PolymerCard& card, ModelKind model) {
    StudyPrint p{.polymer = card, .factor = {}, .notes = {}};
    if (choice.scatter_seed)
        take_sample(p, *choice.scatter_seed);
    take_offset(p, choice.as_drawn);
    take_factor(p, choice.build_axis, model);
    return p;
}

} // namespace cellgrade
