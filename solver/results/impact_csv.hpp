// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_answer.hpp"
#include "solver/choice/impact_case.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Text of a CSV file as in csv.hpp: one row a time and hit in SI, long form, impact,
/// temperature_C, hit (from 1), bottomed (0 or 1), then the history. At most about 2000 rows a hit,
/// evenly chosen, the last always among them. One case an answer.
/// @param comments lines before the header, without their `#`
[[nodiscard]] std::string impact_csv(const std::vector<const ImpactCase*>& cases,
                                     const std::vector<const ImpactAnswer*>& answers,
                                     const std::vector<std::string>& comments);

} // namespace cellgrade
