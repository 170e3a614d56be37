// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"

#include <filesystem>
#include <string>

namespace cellgrade {

/// Reads a finite lattice, as it was drawn or printed, from two tables of delimited text.
///
///     nodes:  node, x_mm, y_mm, z_mm            node: any whole number, each once
///     struts: node_a, node_b [, diameter_mm]    by the numbers of the first table
///
/// Units mm or m, in the names (`x_m`); other columns are passed over. The result is `is_whole`:
/// its box is the smallest that holds all nodes (so the gross area is that of the outer node
/// centres), moved so that its lowest corner lies at the origin; it is crushed along z.
///
/// Errors (input, with file and line): see read_text_table; a missing column; a number that is no
/// whole one; a node number given twice or not given at all; two nodes in one place (within 1e-6 of
/// the box); a strut from a node to itself or given twice; a diameter that is not above 0; fewer
/// than two nodes; nodes in one plane across an axis.
[[nodiscard]] StrutCell read_lattice_table(const std::filesystem::path& nodes,
                                           const std::filesystem::path& struts);

/// The same from texts; `nodes_file` and `struts_file` stand for the files in errors.
[[nodiscard]] StrutCell parse_lattice_table(const std::string& nodes_text,
                                            const std::string& nodes_file,
                                            const std::string& struts_text,
                                            const std::string& struts_file);

} // namespace cellgrade
