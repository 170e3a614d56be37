// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// From here on the first SIGINT or SIGTERM only asks the run to stop at its next chance; a second
/// one ends the program at once.
void catch_stop_signals();

[[nodiscard]] bool stop_was_asked() noexcept;

/// 130 after SIGINT, 143 after SIGTERM; 3 when neither came.
[[nodiscard]] int stop_signal_exit_code() noexcept;

} // namespace cellgrade
