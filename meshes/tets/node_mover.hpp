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
    /// What is of no interest to the caller: the search stops, with the worst so far.
    struct GiveUp {
        double height = -1e300; ///< heights below this [m]
        double cosine = 2.0;    ///< dihedral angles with a larger one
    };
    [[nodiscard]] WorstAround worst_around(Index node, const GiveUp& give_up) const;
    [[nodiscard]] WorstAround worst_around(Index node) const { return worst_around(node, {}); }
    /// Calls visit(node) for the corners of the tetrahedra around a node and its copies, originals
    /// in place of copies; some more than once.
    template <class Visit>
    void for_neighbours(Index node, Visit&& visit) const;
    /// @param to coordinates along held axes are ignored
    void move(Index node, Vec3 to);
    [[nodiscard]] const LinearTets& mesh() const { return mesh_; }

private:
    void add_worst(Index node, const GiveUp& give_up, WorstAround& worst) const;

    LinearTets& mesh_;
    Vec3 box_;
    NodeStars stars_;
    std::vector<bool> is_copy_;
    std::vector<Index> original_;                             ///< of each node, or itself
    std::unordered_map<Index, std::vector<NodeCopy>> copies_; ///< by original
};

template <class Visit>
void NodeMover::for_neighbours(Index node, Visit&& visit) const {
    const auto around = [&](Index centre) {
        for (const Index tet : stars_.around(centre))
            for (const Index corner : mesh_.tets[tet])
                visit(original_[corner]);
    };
    around(node);
    if (const auto group = copies_.find(node); group != copies_.end())
        for (const NodeCopy& copy : group->second)
            around(copy.node);
}

} // namespace cellgrade
