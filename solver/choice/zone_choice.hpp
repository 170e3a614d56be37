// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/candidate.hpp"
#include "solver/choice/ideal_pad.hpp"

#include <functional>
#include <string>
#include <vector>

namespace cellgrade {

/// The bound for one blow of a zone at its thickest pad.
struct BlowBound {
    std::string impact;
    double thickness_m = 0.0;
    double speed_m_per_s = 0.0, mass_kg = 0.0;
    IdealPad ideal;
};

/// A change of one thing on the choice, or where none passes on the best that failed.
struct Help {
    std::string change; ///< "5 mm thicker", "denser: octet 0.14", "kelvin 0.12 instead"
    double use_before = 0.0, use = 0.0; ///< of the limits
    LimitVerdict verdict = LimitVerdict::Unknown;
};

/// All candidates of a zone, best first.
struct ZoneChoice {
    Zone zone;
    std::vector<Candidate> ranked;
    bool chosen = false; ///< the first passes
    std::vector<BlowBound> bounds;
    std::string impossible; ///< why no pad can, whatever it is made of; empty: one could
    std::vector<Help> help; ///< most helpful first
    /// By wearer, when each had a design of one's own: index into `ranked` of the best that passes
    /// that wearer's blows, or -1.
    struct ForOne {
        std::string wearer;
        Index best = -1;
    };
    std::vector<ForOne> for_one;
    std::vector<std::string> left_out; ///< grades of the table that were not tried, with reasons
};

struct ChoiceHooks {
    /// The zone that is tried, and the share of the work of all zones that is done.
    std::function<void(const std::string& zone, double share_done)> progress;
    /// Openness and such of a grade, asked for once each; empty: not known.
    std::function<void(ChoiceGrade&)> describe;
};

/// Tries every trusted grade of a table along [001], `densities_between` between them, and layers
/// of different grades where a zone allows them, at every thickness of every zone.
/// @throws Error (Input) when the table has no curve along [001], or does not know a temperature
[[nodiscard]] std::vector<ZoneChoice>
choose_grades(const GradeTable& table, const ZonePlan& plan, const ChoiceHooks& hooks = {});

} // namespace cellgrade
