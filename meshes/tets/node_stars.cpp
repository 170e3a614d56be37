// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/node_stars.hpp"

namespace cellgrade {

NodeStars node_stars(std::span<const Corners> tets, std::size_t n_nodes) {
    NodeStars stars;
    stars.start.assign(n_nodes + 1, 0);
    for (const Corners& tet : tets)
        for (const Index node : tet)
            ++stars.start[node + 1];
    for (std::size_t n = 0; n < n_nodes; ++n)
        stars.start[n + 1] += stars.start[n];
    stars.tets.resize(4 * tets.size());
    std::vector<Index> next(stars.start.begin(), stars.start.end() - 1);
    for (std::size_t t = 0; t < tets.size(); ++t)
        for (const Index node : tets[t])
            stars.tets[next[node]++] = static_cast<Index>(t);
    return stars;
}

} // namespace cellgrade
