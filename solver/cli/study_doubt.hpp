// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/study_cases.hpp"
#include "solver/cli/uncertainty_choice.hpp"
#include "solver/grades/grade_table.hpp"

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// One crush that differs from a case of the sweep in one thing.
struct DoubtVariant {
    DoubtPart part;
    std::string what;    ///< "elements 1.5 times smaller", "friction 0.6", ...
    double amount = 0.0; ///< relative size of the elements, cells across, friction, seed, ...
    std::size_t run = 0; ///< in DoubtPlan::runs
};

/// An ordinary case with a key of its own; its mesh is built when it is run.
struct DoubtRun {
    StudyConfig study;
    GradeCase grade;    ///< of the case it varies, with its own key
    Index elements = 0; ///< of its mesh, for the share of the work
};

/// What is done for the uncertainty of one case of the sweep.
struct CaseDoubt {
    std::vector<DoubtVariant> variants;
    std::array<std::string, doubt_part_names.size()> why_not; ///< a part asked for has no variants
    std::vector<std::string> notes;                           ///< what the variants leave out
    std::optional<std::size_t> carried_from;                  ///< the case whose shares are taken
    double element_size = 1.0;                                ///< relative, of the case itself
    double cells = 1.0;                                       ///< across, of the case itself
};

struct DoubtPlan {
    UncertaintyChoice choice;
    std::vector<CaseDoubt> cases; ///< one a case of the sweep
    std::vector<DoubtRun> runs;   ///< each key once
};

/// The crushes that a study's [uncertainty] asks for; runs nothing. Builds the meshes of
/// refinements once to count their elements (beams: size ~ 1/n, tetrahedra: n^(-1/3)).
///
/// Varied are: the elements, by element_refinement; the cells, in an impact and with layers only
/// sideways, since a higher specimen would be another rate and another grading; the platen speed of
/// a quasi-static run, halved, and with it the inertia that slows the run down (kinetic share to
/// a quarter, balance of the platens to half); both friction coefficients together; each value of
/// the card that has an interval, up by its standard uncertainty, or all stresses by
/// polymer_stiffness_share; the seeds of specimen and card.
[[nodiscard]] DoubtPlan plan_doubt(const UncertaintyChoice& choice,
                                   std::span<const StudyCase> cases);

/// The part's name: "mesh", "specimen", ...
[[nodiscard]] std::string part_name(DoubtPart part);

/// Platen speed of the variant of the rate / that of the case.
inline constexpr double slower_share = 0.5;

/// Fills `uncertainty` of the rows from their variants, and says in `warning` what could not be
/// estimated and why. A row that is not trusted gets none.
/// @param rows  of the cases of the sweep @param runs rows of plan.runs
void merge_doubt(const DoubtPlan& plan, std::span<GradeRow> rows, std::span<const GradeRow> runs);

} // namespace cellgrade
