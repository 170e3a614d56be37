// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

namespace cellgrade {

using Corners = std::array<Index, 4>;

/// Tetrahedra with straight edges on their way to a TetMesh.
struct LinearTets {
    std::vector<Vec3> nodes;
    std::vector<Corners> tets;      ///< positive volume
    std::vector<bool> on_surface;   ///< one a node: on the zero set of the field
    std::vector<std::uint8_t> held; ///< one a node: bit i set when its coordinate i lies on a side
    /// One a node: how many pieces of the field vanish there, 2 or 3, or 0 away from sharp creases;
    /// empty before snap_to_creases().
    std::vector<std::uint8_t> crease;
    std::vector<NodeCopy> copies; ///< ascending by node
    Index n_off_surface = 0;      ///< surface nodes left off the zero set, all on sides
};

/// One number for an edge, whichever end comes first.
[[nodiscard]] inline std::uint64_t edge_key(Index a, Index b) {
    return static_cast<std::uint64_t>(std::min(a, b)) << 32U |
           static_cast<unsigned>(std::max(a, b));
}

/// Six times the signed volume of a tetrahedron [m^3].
[[nodiscard]] inline double
six_volumes(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
    return (b - a).cross(c - a).dot(d - a);
}

} // namespace cellgrade
