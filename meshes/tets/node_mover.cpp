// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/node_mover.hpp"

#include "meshes/tets/tet_shape.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace cellgrade {

NodeMover::NodeMover(LinearTets& mesh, const Vec3& box)
    : mesh_(mesh), box_(box), stars_(node_stars(mesh.tets, mesh.nodes.size())),
      is_copy_(mesh.nodes.size(), false), original_(mesh.nodes.size()) {
    std::iota(original_.begin(), original_.end(), Index{0});
    for (const NodeCopy& copy : mesh.copies) {
        is_copy_[copy.node] = true;
        original_[copy.node] = copy.original;
        copies_[copy.original].push_back(copy);
    }
}

WorstAround NodeMover::worst_around(Index node, const GiveUp& give_up) const {
    WorstAround worst{1e300, -1.0, no_index, node};
    add_worst(node, give_up, worst);
    if (mesh_.held[node] != 0)
        if (const auto group = copies_.find(node); group != copies_.end())
            for (const NodeCopy& copy : group->second)
                add_worst(copy.node, give_up, worst);
    worst.angle = worst.height > 0.0 ? std::acos(std::min(worst.angle, 1.0)) : 0.0;
    return worst;
}

/// Gathers the largest cosine in place of the angle.
void NodeMover::add_worst(Index node, const GiveUp& give_up, WorstAround& worst) const {
    for (const Index tet : stars_.around(node)) {
        const Corners& t = mesh_.tets[tet];
        const TetLowness low =
            tet_lowness(mesh_.nodes[t[0]], mesh_.nodes[t[1]], mesh_.nodes[t[2]], mesh_.nodes[t[3]]);
        worst.angle = std::max(worst.angle, low.largest_cosine);
        if (low.height < worst.height) {
            worst.height = low.height;
            worst.tet = tet;
            worst.node = node;
        }
        if (low.height < give_up.height || low.largest_cosine > give_up.cosine)
            return;
    }
}

void NodeMover::move(Index node, Vec3 to) {
    for (int axis = 0; axis < 3; ++axis)
        if ((mesh_.held[node] >> axis & 1U) != 0U)
            to[axis] = mesh_.nodes[node][axis];
    mesh_.nodes[node] = to;
    if (mesh_.held[node] == 0)
        return;
    if (const auto group = copies_.find(node); group != copies_.end())
        for (const NodeCopy& copy : group->second)
            mesh_.nodes[copy.node] = to + copy.image.cast<double>().cwiseProduct(box_);
}

} // namespace cellgrade
