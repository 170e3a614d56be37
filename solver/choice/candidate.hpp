// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_answer.hpp"
#include "solver/choice/zone.hpp"
#include "solver/grades/grade_table.hpp"

#include <limits>
#include <string>
#include <vector>

namespace cellgrade {

/// Whether the limit is kept by all that is known; where the doubt is not known, by the value.
[[nodiscard]] constexpr bool is_met(LimitVerdict verdict) {
    return verdict == LimitVerdict::Met || verdict == LimitVerdict::MetDoubtUnknown;
}

/// 0 for the best verdict, 4 for the worst: met, met with unknown doubt, within doubt, not met,
/// unknown.
[[nodiscard]] int severity(LimitVerdict verdict);

/// A grade in a table, or between two of them, or layers of such. Of layers density is the mean,
/// and strut diameter, view and opening are the smallest of any layer.
struct ChoiceGrade {
    GradeSelection selection;
    double relative_density = 0.0;
    double density_kg_per_m3 = 0.0;
    double strut_diameter_m = 0.0; ///< 0: not a strut cell, or not in the table
    bool between = false;          ///< interpolated
    std::vector<PadLayer> layers;  ///< the struck side first; empty: one grade
    double through_view =
        std::numeric_limits<double>::quiet_NaN();                ///< along the blow; NaN: unknown
    double opening_m = std::numeric_limits<double>::quiet_NaN(); ///< narrowest; NaN: unknown

    /// "octet 0.12"; of layers "octet 0.08 + 0.16".
    [[nodiscard]] std::string label() const;
};

/// Layers of equal thickness, the lightest at the struck side.
/// @param grades of one cell and polymer, density rising, two or more
[[nodiscard]] ChoiceGrade layered_grade(const std::vector<ChoiceGrade>& grades);

/// The worst of a blow's answers: over temperatures and hits, of the limit nearest to being broken.
struct BlowResult {
    std::string impact;                                              ///< with the wearer
    double temperature_C = std::numeric_limits<double>::quiet_NaN(); ///< of the worst
    LimitVerdict verdict = LimitVerdict::Unknown;
    std::string limit; ///< readable name of the worst limit; empty: the impact has none
    double value = 0.0, high = 0.0; ///< against the limit, in SI; `high` NaN: doubt not known
    double allowed = 0.0;
    double use = 0.0; ///< largest value with its doubt / limit, over all limits and answers [-]
    double peak_acceleration_g = 0.0, peak_acceleration_high_g = 0.0; ///< worst of all answers
    double largest_strain = 0.0;
    std::vector<std::string> notes; ///< of the worst answer
};

/// A grade at a thickness in a zone.
struct Candidate {
    ChoiceGrade grade;
    double thickness_m = 0.0;
    double mass_kg = 0.0;
    double cost = std::numeric_limits<double>::quiet_NaN(); ///< in the plan's currency
    std::vector<BlowResult> blows;
    LimitVerdict verdict = LimitVerdict::Unknown; ///< the worst of its blows
    double use = 0.0;                             ///< the largest of its blows
    double peak_acceleration_g = 0.0;             ///< the largest of its blows
    std::vector<std::string> faults; ///< why it cannot be printed or washed; empty: it can
    bool on_front = false;           ///< no other candidate is as good in all and better in one
    std::string reason;              ///< why it is not the choice; empty for the choice

    [[nodiscard]] bool passes() const { return is_met(verdict) && faults.empty(); }
    [[nodiscard]] std::string label() const; ///< "octet 0.12, 25 mm"
};

/// Strikes a pad of a grade with every blow of a zone.
/// @param blows  of impact_on()
/// @throws Error (Input) outside the table's temperatures; Error (Run) when a run does not end
[[nodiscard]] Candidate judge_candidate(const GradeCurves& curves,
                                        const ChoiceGrade& grade,
                                        const Zone& zone,
                                        double thickness_m,
                                        const std::vector<ImpactCase>& blows,
                                        const ZonePlan& plan,
                                        const TableCaveats& caveats);

} // namespace cellgrade
