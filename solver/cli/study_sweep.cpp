// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_sweep.hpp"

#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/progress.hpp"
#include "solver/elements/thread_count.hpp"

namespace cellgrade {

StudySweep prepare_sweep(const StudyConfig& config) {
    StudySweep sweep{config, {}, {}};
    for (const StudyConfig& one : expand_sweep(config)) {
        sweep.cases.push_back(prepare_case(one));
        sweep.grades.push_back(sweep.cases.back().grade);
    }
    return sweep;
}

SweepResult compute_sweep(const Session& session,
                          const StudySweep& sweep,
                          const CaseCache& cache,
                          const std::string& command) {
    Progress progress(command, !session.quiet);
    const SweepHooks hooks{
        .progress = [&](double share, const std::string& d) { progress.update(share, d); },
        .say = [&](const std::string& line) { progress.say(line); }};
    const ComputeCase one = [&](std::size_t i, const std::function<void(double)>& share) {
        use_threads(1); // the cases themselves run side by side
        CrushHooks crush;
        crush.progress = [&share](const CrushProgress& p) { share(p.share_done); };
        const StudyCase& c = sweep.cases[i];
        return grade_row(c, run_case(c, crush));
    };
    return run_sweep(sweep.grades, one, cache, session.n_threads(), hooks);
}

} // namespace cellgrade
