// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/session.hpp"
#include "solver/cli/study_cases.hpp"
#include "solver/crush/crush_record.hpp"
#include "solver/crush/crush_setup.hpp"
#include "solver/grades/grade_table.hpp"
#include "solver/homogenize/crush_curve.hpp"
#include "solver/results/provenance.hpp"

#include <string>

namespace cellgrade {

/// A crush, its curve and its traits.
struct CrushOutcome {
    CrushRecord record;
    CrushCurve curve;
    CrushTraits traits;
    ShearTraits shear;
    double wall_time_s = 0.0;
};

/// All traits NaN: nothing is known.
[[nodiscard]] CrushTraits unknown_traits();

/// Beams are not always true: what the map of beams against solids says about the case. Empty for
/// solids and where strut diameters are graded.
[[nodiscard]] std::string beam_warning(const StudyCase& c);

/// "specimen  640 elements, ...": what is run, a line for people.
[[nodiscard]] std::string specimen_line(const StudyCase& c);

/// Threads that pay for a specimen of this size, unless the user has set them: with fewer than
/// about 2000 elements each, the threads wait for one another longer than they compute.
[[nodiscard]] int threads_for(const Session& session, Index elements);

/// Runs the case; its beam_warning() and print notes are the first notes of the record.
[[nodiscard]] CrushOutcome run_case(const StudyCase& c, const CrushHooks& hooks);

/// The row of the grade table; a record that is not trusted says why.
[[nodiscard]] GradeRow grade_row(const StudyCase& c, const CrushOutcome& outcome);

/// Why a record is not trusted, one clause a reason; empty when it is.
[[nodiscard]] std::string distrust_reason(const CrushRecord& record);

/// Provenance without the clock of the run.
[[nodiscard]] Provenance provenance_of(const Session& session, const StudyCase& c);

} // namespace cellgrade
