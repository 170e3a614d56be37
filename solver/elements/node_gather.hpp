// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/node_arrays.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Which load slots belong to a node: slots[start[n] .. start[n + 1]), ascending.
struct NodeGather {
    std::vector<Index> start; ///< one more than nodes
    std::vector<Index> slots;

    [[nodiscard]] Index n_nodes() const { return static_cast<Index>(start.size()) - 1; }
};

/// From the node of each slot. Throws an input Error for a node outside 0 .. n_nodes - 1.
[[nodiscard]] NodeGather make_node_gather(Index n_nodes, std::span<const Index> slot_node);

/// Slots 2e and 2e + 1 are ends a and b of element e.
[[nodiscard]] NodeGather make_node_gather(const BeamBlock& block);

/// Adds the slots of each node in ascending order and overwrites node_load with the sums: the same
/// bits for any number of threads. Threads: OpenMP inside.
void gather_loads(const NodeGather& gather,
                  std::span<const NodeLoad> slots,
                  std::span<NodeLoad> node_load) noexcept;

} // namespace cellgrade
