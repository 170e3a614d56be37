// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/linear_tets.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// Corners of faces that belong to one tetrahedron alone, counter-clockwise seen from outside, in
/// the order of their tetrahedra.
[[nodiscard]] std::vector<std::array<Index, 3>> outer_faces(const LinearTets& mesh);

/// Whether a face lies in one of the sides of the box.
[[nodiscard]] bool is_on_side(const LinearTets& mesh, const std::array<Index, 3>& face);

/// outer_faces() without those that lie on a periodic side against a face of the opposite one. A
/// face of a periodic side without such a partner, where the solid touches it from one side, stays.
[[nodiscard]] std::vector<std::array<Index, 3>> free_faces(const LinearTets& mesh);

/// Number of each node, copies replaced by their originals.
[[nodiscard]] std::vector<Index> originals(const LinearTets& mesh);

} // namespace cellgrade
