// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/keyed_file.hpp"
#include "solver/crush/drop_setup.hpp"

#include <optional>
#include <string>

namespace cellgrade {

/// The table [striker] of a study with every default filled in; SI.
struct StrikerChoice {
    DropStriker striker;
    /// Of an endless pad: area that the mass strikes, of which the modelled cells get their share
    /// [m^2]; unset: all the mass falls on the modelled cells.
    std::optional<double> loaded_area_m2;
    DropNumerics numerics;
};

/// Reads the table. Errors (input) with file, line and key: unknown, missing or contradictory keys,
/// values out of range.
[[nodiscard]] StrikerChoice read_striker(const KeyedTable& table);

/// The table as text that reads back the same.
[[nodiscard]] std::string striker_text(const StrikerChoice& choice);

} // namespace cellgrade
