// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/node_gather.hpp"

#include "solver/core/error.hpp"
#include "solver/elements/thread_count.hpp"

namespace cellgrade {

NodeGather make_node_gather(Index n_nodes, std::span<const Index> slot_node) {
    NodeGather gather;
    gather.start.assign(n_nodes + 1, 0);
    gather.slots.resize(slot_node.size());
    for (std::size_t slot = 0; slot < slot_node.size(); ++slot) {
        CELLGRADE_CHECK(slot_node[slot] >= 0 && slot_node[slot] < n_nodes,
                        "load slot {}: node {} is outside 0 .. {}", slot, slot_node[slot],
                        n_nodes - 1);
        ++gather.start[slot_node[slot] + 1];
    }
    for (Index n = 0; n < n_nodes; ++n)
        gather.start[n + 1] += gather.start[n];
    // a counting sort keeps the slots of a node in ascending order
    std::vector<Index> next(gather.start.begin(), gather.start.end() - 1);
    for (std::size_t slot = 0; slot < slot_node.size(); ++slot)
        gather.slots[next[slot_node[slot]]++] = static_cast<Index>(slot);
    return gather;
}

NodeGather make_node_gather(const BeamBlock& block) {
    std::vector<Index> slot_node(block.n_slots());
    for (Index e = 0; e < block.n_elements; ++e) {
        const BeamGroup& group = block.groups[e / group_lanes];
        slot_node[2 * e] = group.node_a[e % group_lanes];
        slot_node[2 * e + 1] = group.node_b[e % group_lanes];
    }
    return make_node_gather(block.n_nodes, slot_node);
}

void gather_loads(const NodeGather& gather,
                  std::span<const NodeLoad> slots,
                  std::span<NodeLoad> node_load) noexcept {
    const Index n_nodes = gather.n_nodes();
#pragma omp parallel for schedule(static) if (n_nodes > small_job)
    for (Index n = 0; n < n_nodes; ++n) {
        NodeLoad sum;
        for (Index i = gather.start[n]; i < gather.start[n + 1]; ++i) {
            const NodeLoad& load = slots[gather.slots[i]];
            sum.fx += load.fx;
            sum.fy += load.fy;
            sum.fz += load.fz;
            sum.mx += load.mx;
            sum.my += load.my;
            sum.mz += load.mz;
        }
        node_load[n] = sum;
    }
}

} // namespace cellgrade
