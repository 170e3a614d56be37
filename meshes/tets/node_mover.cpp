// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/node_mover.hpp"

#include "meshes/tets/tet_shape.hpp"

#include <algorithm>

namespace cellgrade {

NodeMover::NodeMover(LinearTets& mesh, const Vec3& box)
    : mesh_(mesh), box_(box), stars_(node_stars(mesh.tets, mesh.nodes.size())),
      is_copy_(mesh.nodes.size(), false) {
    for (const NodeCopy& copy : mesh.copies) {
        is_copy_[copy.node] = true;
        copies_[copy.original].push_back(copy);
    }
}

WorstAround NodeMover::worst_around(Index node) const {
    WorstAround worst{1e300, 1e300, no_index, node};
    add_worst(node, worst);
    if (mesh_.held[node] == 0)
        return worst;
    if (const auto group = copies_.find(node); group != copies_.end())
        for (const NodeCopy& copy : group->second)
            add_worst(copy.node, worst);
    return worst;
}

void NodeMover::add_worst(Index node, WorstAround& worst) const {
    for (const Index tet : stars_.around(node)) {
        const Corners& t = mesh_.tets[tet];
        const TetShape shape =
            tet_shape(mesh_.nodes[t[0]], mesh_.nodes[t[1]], mesh_.nodes[t[2]], mesh_.nodes[t[3]]);
        worst.angle = std::min(worst.angle, shape.volume > 0.0 ? shape.smallest_dihedral : 0.0);
        if (shape.smallest_height < worst.height) {
            worst.height = shape.smallest_height;
            worst.tet = tet;
            worst.node = node;
        }
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
