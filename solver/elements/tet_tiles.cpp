// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_tiles.hpp"

#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <unordered_map>

namespace cellgrade {
namespace {

/// Numbers the nodes of one tile as they are met; leaves the nodes of the mesh in `goes_to`.
void add_tile(TetTiles& tiles, const TetMesh& mesh, std::size_t begin, std::size_t end) {
    std::unordered_map<Index, std::uint16_t> number;
    for (std::size_t e = begin; e < end; ++e)
        for (std::size_t a = 0; a < 10; ++a) {
            const Index node = mesh.tets[e][a];
            const auto [at, is_new] =
                number.try_emplace(node, static_cast<std::uint16_t>(number.size()));
            if (is_new)
                tiles.goes_to.push_back(node);
            tiles.in_tile[e / group_lanes][a][e % group_lanes] = at->second;
        }
    tiles.first_node.push_back(static_cast<Index>(tiles.goes_to.size()));
    tiles.most_nodes = std::max(tiles.most_nodes, static_cast<Index>(number.size()));
}

/// The places of each node in `goes_to`, ascending, as lists one after the other.
struct NodePlaces {
    std::vector<Index> first; ///< one more than nodes
    std::vector<Index> place;
};

NodePlaces places_of_nodes(const TetTiles& tiles, std::size_t n_nodes) {
    NodePlaces found;
    found.first.assign(n_nodes + 1, 0);
    for (const Index node : tiles.goes_to)
        ++found.first[node + 1];
    for (std::size_t n = 0; n < n_nodes; ++n)
        found.first[n + 1] += found.first[n];
    std::vector<Index> next(found.first.begin(), found.first.end() - 1);
    found.place.resize(tiles.goes_to.size());
    for (std::size_t i = 0; i < tiles.goes_to.size(); ++i)
        found.place[next[tiles.goes_to[i]]++] = static_cast<Index>(i);
    return found;
}

} // namespace

TetTiles make_tet_tiles(const TetMesh& mesh) {
    TetTiles tiles;
    tiles.in_tile.resize((mesh.tets.size() + group_lanes - 1) / group_lanes);
    tiles.first_node.push_back(0);
    constexpr auto step = static_cast<std::size_t>(tile_elements);
    for (std::size_t begin = 0; begin < mesh.tets.size(); begin += step)
        add_tile(tiles, mesh, begin, std::min(begin + step, mesh.tets.size()));
    const NodePlaces places = places_of_nodes(tiles, mesh.nodes.size());
    tiles.first_partial.push_back(0);
    Index n_partial = 0;
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        if (places.first[n + 1] - places.first[n] == 1)
            continue;
        for (Index i = places.first[n]; i < places.first[n + 1]; ++i)
            tiles.goes_to[places.place[i]] = ~n_partial++;
        tiles.shared_node.push_back(static_cast<Index>(n));
        tiles.first_partial.push_back(n_partial);
    }
    tiles.partial.resize(n_partial);
    return tiles;
}

void hand_over_tile(TetTiles& tiles, Index k, NodeSum* sums, NodeForce* force) noexcept {
    for (Index i = tiles.first_node[k]; i < tiles.first_node[k + 1]; ++i, ++sums) {
        const Index to = tiles.goes_to[i];
        (to >= 0 ? force[to] : tiles.partial[~to]) = {sums->x, sums->y, sums->z};
        *sums = {0.0, 0.0, 0.0, 0.0};
    }
}

void sum_between_tiles(const TetTiles& tiles, std::span<NodeForce> force) noexcept {
    const auto n = static_cast<Index>(tiles.shared_node.size());
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index i = 0; i < n; ++i) {
        NodeForce sum;
        for (Index p = tiles.first_partial[i]; p < tiles.first_partial[i + 1]; ++p) {
            sum.x += tiles.partial[p].x;
            sum.y += tiles.partial[p].y;
            sum.z += tiles.partial[p].z;
        }
        force[tiles.shared_node[i]] = sum;
    }
}

Vec3 fold_copies(std::span<const NodeCopy> copies, std::span<NodeForce> force) noexcept {
    Vec3 to_box = Vec3::Zero();
    for (const NodeCopy& copy : copies) {
        NodeForce &of_copy = force[copy.node], &of_original = force[copy.original];
        to_box += copy.image.cast<double>().cwiseProduct(Vec3(of_copy.x, of_copy.y, of_copy.z));
        of_original.x += of_copy.x;
        of_original.y += of_copy.y;
        of_original.z += of_copy.z;
        of_copy = {};
    }
    return to_box;
}

double tile_bytes(const TetTiles& tiles) {
    const auto places = static_cast<double>(tiles.goes_to.size());
    const auto partial = static_cast<double>(tiles.partial.size());
    const auto groups = static_cast<double>(tiles.in_tile.size());
    return places * (4.0 + 24.0) + partial * (24.0 + 24.0) + 160.0 * groups;
}

} // namespace cellgrade
