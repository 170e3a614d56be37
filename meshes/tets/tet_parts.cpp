// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/tet_parts.hpp"

#include "solver/core/disjoint_sets.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

double volume(const LinearTets& mesh, const Corners& t) {
    return six_volumes(mesh.nodes[t[0]], mesh.nodes[t[1]], mesh.nodes[t[2]], mesh.nodes[t[3]]) /
           6.0;
}

/// Drops nodes that no tetrahedron uses.
void drop_loose_nodes(LinearTets& mesh) {
    std::vector<bool> used(mesh.nodes.size(), false);
    for (const Corners& tet : mesh.tets)
        for (const Index node : tet)
            used[node] = true;
    for (const NodeCopy& copy : mesh.copies) // an original that only its copy needs
        if (used[copy.node])
            used[copy.original] = true;
    std::vector<Index> number(mesh.nodes.size(), no_index);
    Index next = 0;
    for (std::size_t n = 0; n < used.size(); ++n)
        if (used[n]) {
            mesh.nodes[next] = mesh.nodes[n];
            mesh.on_surface[next] = mesh.on_surface[n];
            mesh.held[next] = mesh.held[n];
            number[n] = next++;
        }
    mesh.nodes.resize(next);
    mesh.on_surface.resize(next);
    mesh.held.resize(next);
    for (Corners& tet : mesh.tets)
        for (Index& node : tet)
            node = number[node];
    std::erase_if(mesh.copies, [&](const NodeCopy& copy) { return !used[copy.node]; });
    for (NodeCopy& copy : mesh.copies) {
        copy.node = number[copy.node];
        copy.original = number[copy.original];
    }
}

} // namespace

DroppedParts drop_small_parts(LinearTets& mesh) {
    DisjointSets nodes(mesh.nodes.size());
    for (const Corners& tet : mesh.tets)
        for (int i = 1; i < 4; ++i)
            nodes.join(tet[0], tet[i]);
    for (const NodeCopy& copy : mesh.copies)
        nodes.join(copy.node, copy.original);
    std::vector<double> volumes(mesh.nodes.size(), 0.0);
    double all = 0.0;
    for (const Corners& tet : mesh.tets) {
        volumes[nodes.find(tet[0])] += volume(mesh, tet);
        all += volume(mesh, tet);
    }
    const auto largest =
        static_cast<Index>(std::max_element(volumes.begin(), volumes.end()) - volumes.begin());
    DroppedParts dropped{.parts =
                             static_cast<Index>(std::count_if(volumes.begin(), volumes.end(),
                                                              [](double v) { return v > 0.0; })) -
                             1};
    dropped.volume_share = 1.0 - volumes[largest] / all;
    std::erase_if(mesh.tets, [&](const Corners& tet) { return nodes.find(tet[0]) != largest; });
    drop_loose_nodes(mesh);
    return dropped;
}

} // namespace cellgrade
