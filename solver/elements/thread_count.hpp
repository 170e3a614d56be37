// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// Elements or nodes that one thread does alone: below about a thousand, waking a second thread
/// costs more than it saves, and waiting for it on a busy machine costs far more. Results do not
/// depend on it.
inline constexpr int small_job = 1000;

/// Number of threads that parallel regions started by the calling thread use from here on. Results
/// have the same bits for any number.
void use_threads(int n);

} // namespace cellgrade
