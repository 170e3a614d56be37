// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// Body-centred cubic grid of a box that ends in flat faces: the tetrahedra that an isosurface is
/// cut from.
///
/// Nodes: corners of the cubes, their centres, and the middles of the cube faces on the six outer
/// sides. Tetrahedra: two centres of neighbouring cubes with an edge of the face between them; at
/// an outer side a centre, the middle of the face and an edge of it (half of such a tetrahedron),
/// so that the sides are planes of the grid.
///
/// Node numbers: corners (x fastest), centres, middles side by side (-x, +x, -y, +y, -z, +z).
/// Memory: none but the counts; everything is arithmetic.
class StuffingGrid {
public:
    /// @param box  size [m], each component above 0
    /// @param cubes  cubes along each axis, at least 1
    /// @throws Error (Input) when the nodes are more than an Index can number
    StuffingGrid(const Vec3& box, const std::array<Index, 3>& cubes);

    [[nodiscard]] Index n_nodes() const { return first_middle_.back(); }
    [[nodiscard]] const std::array<Index, 3>& cubes() const { return n_; }
    [[nodiscard]] const Vec3& box() const { return box_; }
    [[nodiscard]] const Vec3& step() const { return step_; } ///< size of a cube [m]

    /// Place of a node in half cubes: even numbers on cube faces, odd ones between.
    [[nodiscard]] Vec3i half_steps(Index node) const;
    /// Coordinates [m]; 0 and the size of the box exactly on the sides.
    [[nodiscard]] Vec3 position(Index node) const;
    /// Node at a place; no_index where the grid has none.
    [[nodiscard]] Index node_at(const Vec3i& half_steps) const;

    /// Calls visit(nodes) for the tetrahedra of layer k of cubes and its upper cube faces, in a
    /// fixed order; over all layers each tetrahedron is visited once. Positive volume.
    template <class Visit>
    void for_each_tet(Index k, Visit&& visit) const;

private:
    template <class Visit>
    void visit_face(const Vec3i& centre, int axis, int sign, Visit&& visit) const;

    Vec3 box_, step_;
    std::array<Index, 3> n_;
    Index first_centre_;
    std::array<Index, 7> first_middle_; ///< of each side, and one past the last
};

template <class Visit>
void StuffingGrid::visit_face(const Vec3i& centre, int axis, int sign, Visit&& visit) const {
    const int u = (axis + 1) % 3, v = (axis + 2) % 3;
    Vec3i middle = centre;
    middle[axis] += sign;
    const bool outer = middle[axis] == 0 || middle[axis] == 2 * n_[axis];
    Vec3i beyond = middle;
    beyond[axis] += sign;
    const Index a = node_at(centre), b = node_at(outer ? middle : beyond);
    constexpr std::array<std::array<int, 2>, 5> ring = {
        {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}, {-1, -1}}};
    for (int i = 0; i < 4; ++i) {
        Vec3i p = middle, q = middle;
        p[u] += ring[i][0];
        p[v] += ring[i][1];
        q[u] += ring[i + 1][0];
        q[v] += ring[i + 1][1];
        // seen from b the ring runs counter-clockwise when sign is +1
        if (sign > 0)
            visit(std::array<Index, 4>{a, node_at(p), node_at(q), b});
        else
            visit(std::array<Index, 4>{a, node_at(q), node_at(p), b});
    }
}

template <class Visit>
void StuffingGrid::for_each_tet(Index k, Visit&& visit) const {
    for (Index j = 0; j < n_[1]; ++j)
        for (Index i = 0; i < n_[0]; ++i) {
            const Vec3i centre(2 * i + 1, 2 * j + 1, 2 * k + 1);
            for (int axis = 0; axis < 3; ++axis) {
                if (centre[axis] == 1)
                    visit_face(centre, axis, -1, visit);
                visit_face(centre, axis, 1, visit);
            }
        }
}

} // namespace cellgrade
