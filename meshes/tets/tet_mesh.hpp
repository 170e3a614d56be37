// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// Ten nodes of a quadratic tetrahedron: corners 0 to 3, then the middles of the edges
/// 0-1, 1-2, 2-0, 0-3, 1-3, 2-3 (the order of VTK). The volume is positive:
/// (x1 - x0) x (x2 - x0) . (x3 - x0) > 0.
using TetNodes = std::array<Index, 10>;

/// Six nodes of a face on the surface: corners counter-clockwise seen from outside, then the
/// middles of the edges 0-1, 1-2, 2-0.
using FaceNodes = std::array<Index, 6>;

/// A node on the far face of a periodic axis and the node that it is a copy of.
struct NodeCopy {
    Index node = no_index;       ///< at nodes[original] + image * box
    Index original = no_index;   ///< never itself a copy
    Vec3i image = Vec3i::Zero(); ///< 0 or 1 along each periodic axis, not all 0
};

/// A specimen as quadratic tetrahedra, ready to be crushed along z; z = 0 is the lower face, z =
/// box.z the upper.
struct TetMesh {
    std::vector<Vec3> nodes; ///< corners first, then edge middles [m]
    Index n_corners = 0;     ///< nodes below this number are corners
    std::vector<TetNodes> tets;
    std::vector<FaceNodes> surface; ///< without the faces glued at periodic sides
    Vec3 box = Vec3::Zero();        ///< gross size of the specimen [m]
    std::array<bool, 3> periodic{}; ///< along x, y, z
    std::vector<NodeCopy> copies;   ///< ascending by node; empty without periodic axes
    std::vector<Index> bottom;      ///< nodes on the lower face, ascending
    std::vector<Index> top;         ///< nodes on the upper face, ascending
    double surface_shift = 0.0;     ///< mean way outward by which fit_volume() met the volume [m]
    double solid_volume = 0.0;      ///< of the solid that was meshed, by integration [m^3]
};

} // namespace cellgrade
