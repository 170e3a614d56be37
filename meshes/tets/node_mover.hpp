// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/linear_tets.hpp"
#include "meshes/tets/node_stars.hpp"

#include <unordered_map>
#include <vector>

namespace cellgrade {

/// The worst of the tetrahedra around a node and its periodic copies.
struct WorstAround {
    double height; ///< smallest [m]
    double angle;  ///< smallest dihedral [rad]
    Index tet;     ///< that with the smallest height
    Index node;    ///< its corner: the node asked for, or a copy of it
};

/// Moves corners of a mesh together with their periodic copies. Tetrahedra must not be added or
/// removed during its life.
class NodeMover {
public:
    NodeMover(LinearTets& mesh, const Vec3& box);

    [[nodiscard]] bool is_copy(Index node) const { return is_copy_[node]; }
    [[nodiscard]] WorstAround worst_around(Index node) const;
    /// @param to coordinates along held axes are ignored
    void move(Index node, Vec3 to);
    [[nodiscard]] const LinearTets& mesh() const { return mesh_; }

private:
    void add_worst(Index node, WorstAround& worst) const;

    LinearTets& mesh_;
    Vec3 box_;
    NodeStars stars_;
    std::vector<bool> is_copy_;
    std::unordered_map<Index, std::vector<NodeCopy>> copies_; ///< by original
};

} // namespace cellgrade
