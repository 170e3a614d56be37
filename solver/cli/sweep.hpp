// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/case_cache.hpp"
#include "solver/grades/grade_table.hpp"

#include <cstddef>
#include <functional>
#include <limits>
#include <span>
#include <string>
#include <vector>

namespace cellgrade {

struct SweepCounts {
    int computed = 0;  ///< in this call, failed ones included
    int reused = 0;    ///< found in the cache
    int failed = 0;    ///< of all rows
    int untrusted = 0; ///< of all rows
};

struct SweepResult {
    std::vector<GradeRow> rows; ///< in the order of the cases
    SweepCounts counts;
};

/// How a case is computed: a pure function of its index; may throw Error, which becomes a failed
/// row. `share` reports progress of this case, 0 to 1.
using ComputeCase =
    std::function<GradeRow(std::size_t index, const std::function<void(double share)>& share)>;

struct SweepHooks {
    /// May be empty. `reused` is the share that the cache held and that took no time.
    std::function<void(double share, double reused, const std::string& detail)> progress;
    std::function<void(const std::string&)> say; ///< may be empty
    std::vector<double> costs; ///< of the cases, any unit, for the share; empty: all alike
    /// How many cases at the front are begun before all others; the others keep their order.
    std::size_t leading = std::numeric_limits<std::size_t>::max();
};

/// Computes the cases that the cache does not hold, `n_threads` at a time, each in one thread.
/// Every finished case is saved before the next begins, so a kill loses at most the running ones.
/// The leading ones are begun in telling_order().
[[nodiscard]] SweepResult run_sweep(std::span<const GradeCase> cases,
                                    const ComputeCase& compute,
                                    const CaseCache& cache,
                                    int n_threads,
                                    const SweepHooks& hooks = {});

} // namespace cellgrade
