// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// Reads a level-set cell from a TOML file.
///
///     schema = 1, kind = "level_set"
///     size_mm = [a, b, c]            a right-angled box
///     name, source                   optional
///     side = "wall" | "below" | "above"
///     level = 0.0                    optional: the surface f = level that the solid grows from
///     offset = t                     optional: |f - level| < t, f - level < t, level - f < t
/// and one of
///     function = "gyroid"            or another of surface_function_names()
///     function = "honeycomb"         axis = "x" | "y" | "z", junction_ratio = 1 (optional)
///     expression = "sin(x)*cos(y)"   x, y, z run from 0 to 2*pi over the cell
///     samples_file = "field.csv"     counts = [nx, ny, nz]; beside the file itself
///
/// Errors (input, with file, line, column, key): a missing or unknown key; none or several of
/// function, expression and samples_file; a faulty formula; a function that is not finite, does not
/// vary, or takes other values at 0 than at 2 pi.
[[nodiscard]] LevelSetCell read_level_set_cell(const std::filesystem::path& path);

/// The same from text; `name` stands for the file in errors, `folder` is that of samples files.
[[nodiscard]] LevelSetCell parse_level_set_cell(std::string_view text,
                                                const std::string& name,
                                                const std::filesystem::path& folder = {});

/// Names of the built-in level-set cells, sorted.
[[nodiscard]] std::vector<std::string> solid_catalogue_names();

/// A built-in level-set cell by name, or the file at a path that ends in .toml. Error for an
/// unknown name, with the nearest ones.
[[nodiscard]] LevelSetCell find_level_set_cell(const std::string& name_or_path);

} // namespace cellgrade
