// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/setup_notes.hpp"

#include "solver/core/units.hpp"

#include <limits>
#include <optional>

namespace cellgrade {

namespace {

/// "0.01 to 11 1/s", "up to 40 C", "from 0.01 1/s".
std::string range(std::optional<double> low, std::optional<double> high, std::string_view unit) {
    if (low && high)
        return fmt::format("{:.3g} to {:.3g} {}", *low, *high, unit);
    return low ? fmt::format("from {:.3g} {}", *low, unit)
               : fmt::format("up to {:.3g} {}", *high, unit);
}

std::optional<double> celsius(std::optional<double> kelvin) {
    return kelvin ? std::optional(*kelvin - units::zero_C) : std::nullopt;
}

} // namespace

std::string outside_card(const std::vector<std::string>& notes) {
    std::string text;
    for (const std::string& note : notes)
        if (note.starts_with(outside_card_mark))
            text.append(text.empty() ? "" : "; ").append(note.substr(outside_card_mark.size()));
    return text;
}

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
        notes.push_back(fmt::format("{}nominal strain rate {:.3g} 1/s (card: {})",
                                    outside_card_mark, rate,
                                    range(valid.rate_min_per_s, valid.rate_max_per_s, "1/s")));
    constexpr double any = std::numeric_limits<double>::infinity();
    const double low = valid.temperature_min_K.value_or(-any);
    const double high = valid.temperature_max_K.value_or(any);
    if (const auto T = setup.temperature_K; T && (*T < low || *T > high))
        notes.push_back(fmt::format(
            "{}{:.4g} C (card: {})", outside_card_mark, *T - units::zero_C,
            range(celsius(valid.temperature_min_K), celsius(valid.temperature_max_K), "C")));
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
    return fmt::format("{}at {:.1f} % strain {:.2g} % of the polymer is in elements that reach "
                       "stretches of {:.3g} to {:.3g} (card: {} to {})",
                       outside_card_mark, 100.0 * nominal_strain, 100.0 * extent.share_outside,
                       extent.least, extent.largest, text(valid.stretch_min),
                       text(valid.stretch_max));
}

} // namespace cellgrade
