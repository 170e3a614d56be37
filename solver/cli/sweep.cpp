// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/sweep.hpp"

#include "solver/cli/crush_outcome.hpp"
#include "solver/cli/sweep_order.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <limits>
#include <mutex>
#include <thread>
#include <utility>

namespace cellgrade {

namespace {

GradeRow failed_row(const GradeCase& grade, const std::string& reason) {
    GradeRow row;
    row.grade = grade;
    row.status = "failed";
    row.reason = reason;
    row.traits = unknown_traits();
    row.density_kg_per_m3 = std::numeric_limits<double>::quiet_NaN();
    return row;
}

/// The work list of one sweep, shared by its threads.
class Worker {
public:
    Worker(std::span<const GradeCase> cases,
           const ComputeCase& compute,
           const CaseCache& cache,
           const SweepHooks& hooks,
           SweepResult& result)
        : cases_(cases), compute_(compute), cache_(cache), hooks_(hooks), result_(result),
          shares_(cases.size(), 0.0) {
        result_.rows.resize(cases.size());
    }

    void find_in_cache() {
        for (const std::size_t i : order()) {
            std::string note;
            if (std::optional<GradeRow> row = cache_.load(cases_[i], note)) {
                result_.rows[i] = std::move(*row);
                ++result_.counts.reused;
                shares_[i] = 1.0;
                reused_ += cost(i);
            } else {
                open_.push_back(i);
            }
            if (!note.empty() && hooks_.say)
                hooks_.say("warning: " + note);
        }
    }

    void work() noexcept {
        try {
            for (std::size_t k = next_++; k < open_.size() && !broken_; k = next_++)
                compute_one(open_[k]);
        } catch (...) {
            const std::scoped_lock lock(mutex_);
            if (!broken_)
                problem_ = std::current_exception();
            broken_ = true;
        }
    }

    [[nodiscard]] std::size_t n_open() const { return open_.size(); }
    void rethrow() const {
        if (problem_)
            std::rethrow_exception(problem_);
    }

private:
    [[nodiscard]] std::vector<std::size_t> order() const {
        const std::size_t leading = std::min(hooks_.leading, cases_.size());
        std::vector<std::size_t> all = telling_order(cases_.first(leading));
        for (std::size_t i = leading; i < cases_.size(); ++i)
            all.push_back(i);
        return all;
    }

    [[nodiscard]] double cost(std::size_t i) const {
        return hooks_.costs.empty() ? 1.0 : hooks_.costs[i];
    }

    void compute_one(std::size_t i) {
        GradeRow row;
        try {
            row = compute_(i, [this, i](double share) { report(i, share); });
        } catch (const Error& e) {
            row = failed_row(cases_[i], e.what());
        }
        cache_.save(row);
        result_.rows[i] = std::move(row);
        report(i, 1.0);
        const std::scoped_lock lock(mutex_);
        ++result_.counts.computed;
    }

    void report(std::size_t i, double share) {
        if (!hooks_.progress)
            return;
        const std::scoped_lock lock(mutex_);
        shares_[i] = share;
        double sum = 0.0, whole = 0.0;
        int done = 0;
        for (std::size_t k = 0; k < shares_.size(); ++k) {
            sum += cost(k) * shares_[k];
            whole += cost(k);
            done += shares_[k] >= 1.0 ? 1 : 0;
        }
        hooks_.progress(sum / whole, reused_ / whole,
                        fmt::format("{} of {} cases", done, shares_.size()));
    }

    std::span<const GradeCase> cases_;
    const ComputeCase& compute_;
    const CaseCache& cache_;
    const SweepHooks& hooks_;
    SweepResult& result_;
    std::vector<double> shares_;
    double reused_ = 0.0; ///< cost of what the cache held
    std::vector<std::size_t> open_;
    std::atomic<std::size_t> next_{0};
    std::atomic<bool> broken_{false};
    std::exception_ptr problem_;
    std::mutex mutex_;
};

} // namespace

SweepResult run_sweep(std::span<const GradeCase> cases,
                      const ComputeCase& compute,
                      const CaseCache& cache,
                      int n_threads,
                      const SweepHooks& hooks) {
    SweepResult result;
    Worker worker(cases, compute, cache, hooks, result);
    worker.find_in_cache();
    const std::size_t n = std::min(worker.n_open(), static_cast<std::size_t>(n_threads));
    {
        std::vector<std::jthread> threads;
        for (std::size_t t = 0; t < n; ++t)
            threads.emplace_back([&worker] { worker.work(); });
    }
    worker.rethrow(); // a full disk or a defect; physics gone wrong is a row
    for (const GradeRow& row : result.rows) {
        result.counts.failed += row.status == "failed" ? 1 : 0;
        result.counts.untrusted += row.status == "untrusted" ? 1 : 0;
    }
    return result;
}

} // namespace cellgrade
