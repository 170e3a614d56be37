// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_sweep.hpp"

#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/progress.hpp"
#include "solver/elements/thread_count.hpp"

namespace cellgrade {

namespace {

/// What the cases take beside each other: elements times the way of the platen.
std::vector<double> costs_of(const StudySweep& sweep) {
    std::vector<double> costs;
    for (const StudyCase& c : sweep.cases) {
        const CrushLoading& l = c.study.loading;
        costs.push_back(static_cast<double>(n_elements(c.setup.mesh)) *
                        (l.to_strain * (l.unload ? 2.0 : 1.0) + l.shear_to_strain));
    }
    return costs;
}

} // namespace

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
        .progress = [&](double share, double reused,
                        const std::string& d) { progress.update(share, d, reused); },
        .say = [&](const std::string& line) { progress.say(line); },
        .costs = costs_of(sweep)};
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
