// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"
#include "meshes/catalogue/strut_cell.hpp"

#include <filesystem>
#include <string>
#include <variant>

namespace cellgrade {

/// A cell of either kind.
using AnyCell = std::variant<StrutCell, LevelSetCell>;

/// A built-in cell by name. Error for an unknown name, with the nearest ones of both kinds.
[[nodiscard]] AnyCell find_any_cell(const std::string& name);

/// A cell file: a level-set cell where it says kind = "level_set", else a strut cell. Errors as the
/// readers of both.
[[nodiscard]] AnyCell read_any_cell(const std::filesystem::path& path);

[[nodiscard]] const std::string& name_of(const AnyCell& cell);

/// Edges of the box of a cell; of a lattice that is no right-angled box the lengths of its vectors
/// [m].
[[nodiscard]] Vec3 edges_of(const AnyCell& cell);

/// The cell with all lengths multiplied by `factor` (> 0).
[[nodiscard]] AnyCell scaled(const AnyCell& cell, double factor);

} // namespace cellgrade
