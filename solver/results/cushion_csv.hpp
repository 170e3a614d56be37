// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/cushion_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Text of a CSV file as in csv.hpp: one row a point in SI, after its cell, density, thickness and
/// drop height; `bottomed` 0 or 1.
/// @param comments lines before the header, without their `#`
[[nodiscard]] std::string cushion_csv(const std::vector<GradeCushion>& curves,
                                      const std::vector<std::string>& comments);

} // namespace cellgrade
