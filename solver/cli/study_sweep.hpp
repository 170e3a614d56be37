// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/case_cache.hpp"
#include "solver/cli/session.hpp"
#include "solver/cli/study_cases.hpp"
#include "solver/cli/study_doubt.hpp"
#include "solver/cli/sweep.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// All cases of a study with their specimens, ready to run.
struct StudySweep {
    StudyConfig config;
    std::vector<StudyCase> cases;
    std::vector<GradeCase> grades; ///< of the cases
    DoubtPlan doubt;               ///< further runs for the uncertainty of the cases
};

/// Errors as prepare_case().
[[nodiscard]] StudySweep prepare_sweep(const StudyConfig& config);

/// Crushes what the cache does not hold, one thread a case, and shows progress: the cases first,
/// then the runs for their uncertainty, which is merged into the rows. Failed and untrusted are
/// counted of the cases alone.
/// @param command  name before the progress
[[nodiscard]] SweepResult compute_sweep(const Session& session,
                                        const StudySweep& sweep,
                                        const CaseCache& cache,
                                        const std::string& command);

} // namespace cellgrade
