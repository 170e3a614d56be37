// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/linear_tets.hpp"

#include <optional>

namespace cellgrade {

/// The point near x where the `n` (2 or 3) lowest pieces of the field vanish together, at most
/// `reach` away; stays in the sides that the held axes name. Pieces whose gradients are within 15
/// degrees of one another count as one.
///
/// Newton's method, each step the shortest that solves the linearised equations.
/// @return nothing for a field without pieces, where they do not meet within reach, or meet inside
///         another piece
[[nodiscard]] std::optional<Vec3>
onto_crease(const ImplicitSolid& solid, const Vec3& x, unsigned held, int n, double reach);

/// Moves surface nodes near sharp creases onto them: first onto points where three pieces meet,
/// then, nearest first, ends of edges that cross a crease. A move stands when no tetrahedron
/// around gets a dihedral angle below 15 degrees, or a height below an eighth of `cube`, that was
/// not as low before. Fills LinearTets::crease.
/// Source: own; the aim is that of feature nodes in dual contouring, Ju, Losasso, Schaefer and
/// Warren (2002), ACM Trans. Graph. 21:339.
/// @param cube edge of the grid cubes [m]
/// @return number of nodes on creases
Index snap_to_creases(LinearTets& mesh, const ImplicitSolid& solid, double cube);

} // namespace cellgrade
