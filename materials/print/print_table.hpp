// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/print/print_effects.hpp"
#include "solver/core/keyed_file.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace cellgrade {

/// The table [print] of a card; nothing when it has none. Keys: materials/README.md.
/// Errors (input, with file, line and key): unknown keys, a scatter or a number of readings without
/// its value, what PrintEffects::check() refuses.
/// @param mean_void_fraction  of the card's law [-]
[[nodiscard]] std::optional<PrintEffects> read_print_effects(const KeyedTable& root,
                                                             double mean_void_fraction);

/// A value of such a table at `key`, with its `..._sd` and `..._readings`; a unit at the end of the
/// key stands behind `_sd` (`diameter_offset_mm`, `diameter_offset_sd_mm`,
/// `diameter_offset_readings`). Nothing when the table has none of the three. Errors as above.
/// @param unit  to SI
[[nodiscard]] std::optional<ScatteredValue>
read_scattered(const KeyedTable& table, std::string_view key, double unit);

/// The table as text, "" without effects; reads back the same.
[[nodiscard]] std::string print_effects_text(const std::optional<PrintEffects>& print);

} // namespace cellgrade
