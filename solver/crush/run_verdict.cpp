// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/run_verdict.hpp"

#include "solver/core/error.hpp"

#include <algorithm>

namespace cellgrade {

bool is_trusted(const RunEnd& run) {
    return !run.failed && !run.interrupted &&
           std::all_of(run.guards.begin(), run.guards.end(),
                       [](const GuardResult& guard) { return guard.met || !guard.enforced; });
}

std::string run_verdict(const RunEnd& run) {
    if (is_trusted(run))
        return "trusted: the run reached its end and met every enforced limit";
    std::string why;
    const auto add = [&](const std::string& reason) { why += (why.empty() ? "" : "; ") + reason; };
    if (run.failed)
        add("the run failed" + (run.failure.empty() ? "" : ": " + run.failure));
    if (run.interrupted)
        add("the run was interrupted");
    for (const GuardResult& guard : run.guards)
        if (guard.enforced && !guard.met)
            add(fmt::format("{} {:.3g} is outside its limit {:.3g}", guard.name, guard.value,
                            guard.limit));
    return "untrusted: " + why;
}

} // namespace cellgrade
