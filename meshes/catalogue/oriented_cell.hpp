// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/any_cell.hpp"

#include <array>

namespace cellgrade {

/// Three whole-number steps of a cell's edges that are at right angles in space, the columns of M;
/// the third is the direction asked for, without common factors.
///
///   e_i . e_j = 0  for i != j,   e_i = lattice M_i,   det M > 0
///
/// Of all such boxes the one with the shortest first and then second edge. det M is the number of
/// cells that it holds.
/// @throws Error (Input) for the direction [000] and for a lattice that has no such box with at
///         most 200 cells: of a cell that is not cubic few directions have one
[[nodiscard]] Eigen::Matrix<Index, 3, 3> right_angled_box(const Mat3& lattice,
                                                          const std::array<Index, 3>& direction);

/// The same endless lattice, described by a right-angled box whose z is `direction`, counted in
/// edges of the cell ([uvw] of crystallography); turned in space so that the box lies along x, y,
/// z. [001] gives the cell back as it is.
///
/// Relative density, strut lengths, walls and joints are those of the cell.
/// @throws Error (Input) as right_angled_box()
[[nodiscard]] AnyCell oriented(const AnyCell& cell, const std::array<Index, 3>& direction);

} // namespace cellgrade
