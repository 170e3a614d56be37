// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/print/print_effects.hpp"
#include "solver/core/keyed_file.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// The table [print] of a calibration study: readings of what the printer did.
struct PrintStudy {
    std::optional<std::filesystem::path> calliper_file, weighed_file, direction_file;
    std::optional<double> solid_density_kg_per_m3; ///< of the polymer without pores
    std::optional<ScatteredValue> factor;          ///< given instead of direction_file

    /// Keys of the values given, each of which needs a line in [sources].
    [[nodiscard]] std::vector<std::string> value_keys() const;
};

/// Reads the table; empty when there is none. Paths are relative to `folder`. Errors (input, file,
/// line, key): weighed_file without solid_density_kg_per_m3 or the other way round, both
/// direction_file and build_direction_factor, a scatter without its factor, unknown keys.
[[nodiscard]] PrintStudy read_print_study(const KeyedTable& root,
                                          const std::filesystem::path& folder);

} // namespace cellgrade
