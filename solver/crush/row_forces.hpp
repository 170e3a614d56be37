// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Forces at the rows of a history, from the means that it keeps over the time between rows.
///
/// A mean belongs to the middle of its interval, half a row before the row. At a row stands the
/// mean of the two intervals that meet there; at the end of a leg, where nothing follows, the last
/// mean goes on by half of its last change. Exact for forces linear in displacement and rows at
/// equal distances.
/// @param means  one a row, over the interval that ends there [N]
/// @param turn   first row of unloading; means.size() when there is none
[[nodiscard]] std::vector<double> forces_at_rows(std::span<const double> means, Index turn);

} // namespace cellgrade
