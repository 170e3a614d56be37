// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/study_sweep.hpp"

#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/progress.hpp"
#include "solver/elements/thread_count.hpp"

#include <cstddef>
#include <iterator>

namespace cellgrade {

namespace {

/// What a crush takes beside others: elements times the way of the platen.
double cost_of(const CrushLoading& l, std::size_t elements) {
    return static_cast<double>(elements) *
           (l.to_strain * (l.unload ? 2.0 : 1.0) + l.shear_to_strain);
}

/// Of the cases and then of the runs for their uncertainty.
std::vector<double> costs_of(const StudySweep& sweep) {
    std::vector<double> costs;
    for (const StudyCase& c : sweep.cases)
        costs.push_back(cost_of(c.study.loading, n_elements(c.setup.mesh)));
    for (const DoubtRun& run : sweep.doubt.runs)
        costs.push_back(cost_of(run.study.loading, static_cast<std::size_t>(run.elements)));
    return costs;
}

} // namespace

StudySweep prepare_sweep(const StudyConfig& config) {
    StudySweep sweep{config, {}, {}, {}};
    for (const StudyConfig& one : expand_sweep(config)) {
        sweep.cases.push_back(prepare_case(one));
        sweep.grades.push_back(sweep.cases.back().grade);
    }
    sweep.doubt = plan_doubt(config.uncertainty, sweep.cases);
    return sweep;
}

namespace {

/// Takes the runs for the uncertainty out of the rows and merges them into those of the cases.
void take_doubt(const StudySweep& sweep, SweepResult& result) {
    const auto n = static_cast<std::ptrdiff_t>(sweep.cases.size());
    const std::vector<GradeRow> runs(std::make_move_iterator(result.rows.begin() + n),
                                     std::make_move_iterator(result.rows.end()));
    result.rows.resize(sweep.cases.size());
    merge_doubt(sweep.doubt, result.rows, runs);
    result.counts.failed = result.counts.untrusted = 0;
    for (const GradeRow& row : result.rows) {
        result.counts.failed += row.status == "failed" ? 1 : 0;
        result.counts.untrusted += row.status == "untrusted" ? 1 : 0;
    }
}

} // namespace

SweepResult compute_sweep(const Session& session,
                          const StudySweep& sweep,
                          const CaseCache& cache,
                          const std::string& command) {
    Progress progress(command, !session.quiet);
    const SweepHooks hooks{
        .progress = [&](double share, double reused,
                        const std::string& d) { progress.update(share, d, reused); },
        .say = [&](const std::string& line) { progress.say(line); },
        .costs = costs_of(sweep),
        .leading = sweep.cases.size()};
    const ComputeCase one = [&](std::size_t i, const std::function<void(double)>& share) {
        use_threads(1); // the cases themselves run side by side
        CrushHooks crush;
        crush.progress = [&share](const CrushProgress& p) { share(p.share_done); };
        if (i < sweep.cases.size())
            return grade_row(sweep.cases[i], run_case(sweep.cases[i], crush));
        const StudyCase c = prepare_case(sweep.doubt.runs[i - sweep.cases.size()].study);
        return grade_row(c, run_case(c, crush));
    };
    std::vector<GradeCase> all = sweep.grades;
    for (const DoubtRun& run : sweep.doubt.runs)
        all.push_back(run.grade);
    SweepResult result = run_sweep(all, one, cache, session.n_threads(), hooks);
    take_doubt(sweep, result);
    return result;
}

} // namespace cellgrade
