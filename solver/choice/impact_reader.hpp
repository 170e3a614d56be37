// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_case.hpp"
#include "solver/core/keyed_file.hpp"

#include <filesystem>
#include <vector>

namespace cellgrade {

/// Impacts of a TOML file: `schema = 1`, tables [[impact]] with the keys of examples/README.md,
/// every gap filled (complete_impact()).
/// @throws Error (Input) with file, line and key: what is missing, doubled, unknown or out of
/// range;
///         names given twice; no impact
[[nodiscard]] std::vector<ImpactCase> read_impacts(const std::filesystem::path& path);

/// The same from a file that is read already, for files that hold more than impacts; does not ask
/// for `schema` and does not finish() the file.
[[nodiscard]] std::vector<ImpactCase> impacts_of(const KeyedTable& file);

} // namespace cellgrade
