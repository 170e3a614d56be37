// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"

#include <cstdint>
#include <span>
#include <vector>

namespace cellgrade {

/// A beam mesh as a viewer wants it: every beam from one point to another, nothing wrapped.
///
/// Points are the nodes of the mesh, then one ghost for each pair (node, image) in which a beam
/// ends beyond a periodic face: x_ghost = x_node + image * box (component-wise).
struct LineGrid {
    struct Ghost {
        Index node;
        Vec3 shift; ///< [m]
    };
    std::size_t n_nodes = 0;
    std::vector<Ghost> ghosts;
    std::vector<std::int64_t> connectivity; ///< two points a beam
    std::vector<float> radius_m;            ///< one a point: mean of the beams at its node

    [[nodiscard]] std::size_t n_points() const { return n_nodes + ghosts.size(); }
    [[nodiscard]] std::size_t n_cells() const { return connectivity.size() / 2; }
};

/// @throws Error (Input) when a beam names a node that is not there
[[nodiscard]] LineGrid line_grid(const BeamMesh& mesh);

/// Appends x y z of all points as float32 for nodes at `positions` [m].
void append_points(const LineGrid& grid, std::span<const Vec3> positions, std::vector<float>& out);
void append_points(std::span<const Vec3> positions, std::vector<float>& out);

} // namespace cellgrade
