// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_traits.hpp"
#include "solver/choice/layers.hpp"
#include "solver/choice/table_caveats.hpp"
#include "solver/grades/grade_curves.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One hit, with what the table's doubt about its stresses makes of it.
struct HitAnswer {
    ImpactRun run;
    ImpactTraits traits;
    /// Smallest and largest of three runs: stresses as they are, less and more by one standard
    /// uncertainty; NaN where the doubt is not known.
    ImpactTraits low, high;
    double rate_at_touch_per_s = 0.0; ///< speed / thickness: the highest
    double rate_at_turn_per_s = 0.0;  ///< of the deepest column
    bool bottomed = false;            ///< past the last strain of the table
    bool softer_bottomed = false;     ///< by stresses less by the doubt only
};

/// Whether a limit is kept.
enum class LimitVerdict {
    Met,             ///< by the whole interval
    MetDoubtUnknown, ///< by the value; the table has no doubt to make an interval of
    WithinDoubt,     ///< the limit lies inside the interval
    NotMet,
    Unknown, ///< the pad has bottomed
};

/// "met", "met, doubt not known", "within doubt", "not met", "unknown: bottomed".
[[nodiscard]] std::string verdict_name(LimitVerdict verdict);

struct LimitCheck {
    const ImpactField* field = nullptr;
    double limit = 0.0;
    double value = 0.0, high = 0.0; ///< of the worst hit; `high` NaN without known doubt
    LimitVerdict verdict = LimitVerdict::Unknown;
};

/// What a blow does to a grade's pad at one temperature.
struct ImpactAnswer {
    std::string impact;
    double temperature_C = std::numeric_limits<double>::quiet_NaN(); ///< NaN: the table's only one
    std::vector<HitAnswer> hits;
    std::vector<LimitCheck> checks;
    std::vector<std::string> notes; ///< what the reader must know, most severe first

    [[nodiscard]] bool bottomed() const;
};

/// A pad of one grade, or of layers.
struct GradePad {
    double relative_density = 0.0; ///< of a pad of one grade
    Pad pad;
    std::vector<PadLayer> layers; ///< instead of one density; empty: one grade
};

/// Computes a blow at each of its temperatures.
/// @param caveats of the table, for the notes
/// @param tolerance of ImpactMotion
/// @throws Error (Input) outside the densities and temperatures of the table; Error (Run) when a
/// run
///         does not end
[[nodiscard]] std::vector<ImpactAnswer> answer_impact(const GradeCurves& curves,
                                                      const GradePad& pad,
                                                      const ImpactCase& impact,
                                                      const TableCaveats& caveats,
                                                      double tolerance = ImpactMotion{}.tolerance);

} // namespace cellgrade
