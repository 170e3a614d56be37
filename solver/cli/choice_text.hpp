// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/zone_choice.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Zones with their grades for people: the choice and what it rests on, the next best, why the
/// others lost, the bound, what would help. `shown` candidates a zone.
[[nodiscard]] std::string
choice_text(const ZonePlan& plan, const std::vector<ZoneChoice>& zones, Index shown);

/// All of it as one JSON document, schema "cellgrade/choice"; every key names its unit.
/// @param table where the grades come from, and its hash, for provenance
[[nodiscard]] std::string choice_json(const ZonePlan& plan,
                                      const std::vector<ZoneChoice>& zones,
                                      const std::string& table,
                                      const std::string& table_sha256);

} // namespace cellgrade
