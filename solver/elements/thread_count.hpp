// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// Number of threads that parallel regions started by the calling thread use from here on. Results
/// have the same bits for any number.
void use_threads(int n);

} // namespace cellgrade
