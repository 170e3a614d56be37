// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/node_arrays.hpp"

#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace cellgrade {

/// Elements of a tile. The sums of its nodes, some five hundred of 32 B, stay in a first cache.
inline constexpr Index tile_elements = 256;
inline constexpr std::size_t most_tile_nodes = 10 * tile_elements;

/// How the forces of tetrahedra come to the nodes, tile by tile: elements 256 k to 256 k + 255 are
/// tile k. A thread adds the ten forces of each element to sums of its own for the nodes of the
/// tile, element after element, and then writes each sum where it belongs; only where tiles meet a
/// second sum is needed. Every sum runs in a fixed order, so the result has the same bits for any
/// number of threads. A mesh whose elements lie near their neighbours in the list
/// (sort_by_place()) has few nodes between tiles.
struct TetTiles {
    /// Nodes of tile k: first_node[k] to first_node[k + 1] - 1 of `goes_to`.
    std::vector<Index> first_node;
    /// Where the sum goes: a node, or with bits turned (~i) place i of `partial`.
    std::vector<Index> goes_to;
    /// Of each group, like TetGroup::nodes: the number of the node within its tile.
    std::vector<std::array<std::array<std::uint16_t, group_lanes>, 10>> in_tile;

    Index most_nodes = 0; ///< of a tile

    std::vector<Index> shared_node;   ///< nodes of several tiles or of none, ascending
    std::vector<Index> first_partial; ///< of each, one more than nodes; by tile
    std::vector<NodeForce> partial;   ///< [N]

    [[nodiscard]] Index n_tiles() const { return static_cast<Index>(first_node.size()) - 1; }
};

/// Each periodic copy counts as a node of its own.
[[nodiscard]] TetTiles make_tet_tiles(const TetMesh& mesh);

/// Writes the sums of tile k to `force` and `partial` and leaves them at zero.
void hand_over_tile(TetTiles& tiles, Index k, NodeSum* sums, NodeForce* force) noexcept;

/// Sums of the nodes that tiles share. Threads: OpenMP inside.
void sum_between_tiles(const TetTiles& tiles, std::span<NodeForce> force) noexcept;

/// Moves the forces of periodic copies to their originals and leaves them at zero.
/// @return sum of image times force, component by component: what the copies do to the box [N]
Vec3 fold_copies(std::span<const NodeCopy> copies, std::span<NodeForce> force) noexcept;

/// Least traffic of the tiles of a mesh: node numbers, one force a node and tile [B].
[[nodiscard]] double tile_bytes(const TetTiles& tiles);

} // namespace cellgrade
