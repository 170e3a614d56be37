// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/linear_tets.hpp"

#include <array>

namespace cellgrade {

/// Isosurface stuffing: tetrahedra of the solid from a body-centred cubic grid.
///
/// 1. Where grid edges cross the zero set, the crossing is found (field_roots()).
/// 2. A grid node with a crossing closer than 0.25 (cube edges) or 0.412 (half diagonals) of the
///    edge is moved onto the nearest such crossing; its other crossings vanish.
/// 3. Tetrahedra that still cross the zero set are cut there and their inner part is filled by one
///    to three; quadrilaterals on faces are split by the shorter diagonal, the same from both
///    sides.
/// Nodes on sides of the box move only in them: along grid edges of the side, else towards the zero
/// set inside it; where that is tangent to the side they stay and count as surface (n_off_surface).
/// Far periodic sides are decided together with the near ones and get their nodes, bit by bit.
///
/// Source: Labelle and Shewchuk (2007), ACM Trans. Graph. 26(3):57, with the flat sides added here.
/// They prove dihedral angles of 10.7 to 164.8 degrees for the inside; for the sides see
/// tests/unit/meshes/tets_test.cpp. Features thinner than a cube can be missed: the caller checks
/// the volume.
/// @param cubes  cubes along each axis
/// @throws Error (Input) for a field that is not finite, or a box without any solid
[[nodiscard]] LinearTets stuff(const ImplicitSolid& solid, const std::array<Index, 3>& cubes);

} // namespace cellgrade
