// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

namespace cellgrade {

/// Sum in fixed chunks of 256, chunk sums added in order: the same bits for any thread count.
[[nodiscard]] double ordered_sum(std::span<const double> values);

} // namespace cellgrade
