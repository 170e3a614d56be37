// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"

#include <span>
#include <string>

namespace cellgrade {

/// How a run ended, of a crush or a drop.
struct RunEnd {
    bool failed = false;
    std::string failure; ///< one line
    bool interrupted = false;
    std::span<const GuardResult> guards;
};

/// Whether it reached its end and met every enforced guard.
[[nodiscard]] bool is_trusted(const RunEnd& run);

/// "trusted: ..." or "untrusted: ..." with all that went wrong.
[[nodiscard]] std::string run_verdict(const RunEnd& run);

} // namespace cellgrade
