// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// Reads a strut cell from a TOML file.
///
///     size_mm = [a, b, c]            a right-angled box, or
///     vectors_mm = [[..], [..], [..]]   the three lattice vectors, one a row
///     nodes = [[x, y, z], ...]       fractional, may lie on the faces x = 1 and be repeated there
///     struts = [[i, j], ...]         node numbers, from 0
///     images = [[ix, iy, iz], ...]   optional: cell offset of each strut's second end
///     diameters_mm = [...]           optional: one a strut
///     name, source, schema = 1       optional
///
/// Nodes are wrapped to [0, 1) and periodic copies of a node become one; a strut that repeats a
/// periodic copy of an earlier one is dropped, so that each is counted once. Positions count as
/// equal within 1e-5 of a lattice vector.
///
/// Errors (input, with file, line, column, key): a missing or unknown key, a wrong list length, a
/// number that is not finite, lattice vectors in one plane, a node number out of range, a node
/// given twice, a node without struts, a strut without length, repeated with another diameter,
/// through a joint or across another strut without being joined to it, a net that falls into
/// parts.
[[nodiscard]] StrutCell read_strut_cell(const std::filesystem::path& path);

/// The same from text; `name` stands for the file in errors and is the default name of the cell.
[[nodiscard]] StrutCell parse_strut_cell(std::string_view text, const std::string& name);

/// Names of the built-in cells, sorted.
[[nodiscard]] std::vector<std::string> catalogue_names();

/// A built-in cell by name, or the file at a path that ends in .toml. Error for an unknown name,
/// with the nearest ones.
[[nodiscard]] StrutCell find_cell(const std::string& name_or_path);

/// The cell with lattice vectors and diameters multiplied by `factor` (> 0).
[[nodiscard]] StrutCell scaled(const StrutCell& cell, double factor);

} // namespace cellgrade
