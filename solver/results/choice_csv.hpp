// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/zone_choice.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Text of a CSV file as in csv.hpp: one row a zone, candidate (rank from 1) and blow, in SI; cost
/// in the plan's currency; densities of layers with a blank between, from the struck side.
/// @param comments lines before the header, without their `#`
[[nodiscard]] std::string choice_csv(const std::vector<ZoneChoice>& zones,
                                     const std::vector<std::string>& comments);

} // namespace cellgrade
