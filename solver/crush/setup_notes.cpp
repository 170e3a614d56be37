// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/setup_notes.hpp"

#include "solver/core/units.hpp"

#include <limits>
#include <optional>

namespace cellgrade {

std::vector<std::string>
setup_notes(const CrushSetup& setup, double rate, const BodyDynamics& dynamics) {
    std::vector<std::string> notes;
    if (const StrutContact* contact = dynamics.strut_contact();
        contact != nullptr && !contact->initial_overlaps().empty()) {
        const InitialOverlap& first = contact->initial_overlaps().front();
        notes.push_back(fmt::format("{} pairs of struts overlap at the start without a common "
                                    "joint and never touch; the first "
                                    "are elements {} and {}, {:.3g} mm deep",
                                    contact->initial_overlaps().size(), first.first, first.second,
                                    1e3 * first.depth));
    }
    const CardValidity& valid = setup.polymer.valid;
    if (rate < valid.rate_min_per_s.value_or(0.0) || rate > valid.rate_max_per_s.value_or(1e300))
        notes.push_back(fmt::format(
            "the nominal strain rate of {:.3g} 1/s lies outside the range of "
            "the polymer card, {:.3g} to {:.3g} 1/s",
            rate, valid.rate_min_per_s.value_or(0.0), valid.rate_max_per_s.value_or(1e300)));
    constexpr double any = std::numeric_limits<double>::infinity();
    const double low = valid.temperature_min_K.value_or(-any);
    const double high = valid.temperature_max_K.value_or(any);
    if (const auto T = setup.temperature_K; T && (*T < low || *T > high))
        notes.push_back(fmt::format("{:.4g} C lies outside the range of the polymer card, {:.4g} "
                                    "to {:.4g} C",
                                    *T - units::zero_C, low - units::zero_C, high - units::zero_C));
    return notes;
}

std::string
stretch_note(const CrushSetup& setup, double nominal_strain, const BodyDynamics& dynamics) {
    const CardValidity& valid = setup.polymer.valid;
    if (!valid.stretch_min && !valid.stretch_max)
        return "";
    const StretchLimits limits{.min = valid.stretch_min.value_or(0.0),
                               .max =
                                   valid.stretch_max.value_or(std::numeric_limits<double>::max())};
    const StretchExtent extent =
        dynamics.body().stretches(dynamics.motion().poses(), dynamics.box().lengths(), limits);
    if (extent.share_outside == 0.0)
        return "";
    const auto text = [](const std::optional<double>& limit) {
        return limit ? fmt::format("{:.3g}", *limit) : std::string("any");
    };
    return fmt::format(
        "at {:.1f} % strain {:.2g} % of the polymer is in elements that leave the stretches of its "
        "card, {} to {}: they reach {:.3g} to {:.3g}",
        100.0 * nominal_strain, 100.0 * extent.share_outside, text(valid.stretch_min),
        text(valid.stretch_max), extent.least, extent.largest);
}

} // namespace cellgrade
