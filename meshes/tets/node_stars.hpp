// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/linear_tets.hpp"

#include <cstddef>
#include <span>
#include <vector>

namespace cellgrade {

/// The tetrahedra around each node.
struct NodeStars {
    std::vector<Index> start; ///< n_nodes + 1
    std::vector<Index> tets;  ///< ascending for each node

    [[nodiscard]] std::span<const Index> around(Index node) const {
        return std::span(tets).subspan(start[node], start[node + 1] - start[node]);
    }
};

[[nodiscard]] NodeStars node_stars(std::span<const Corners> tets, std::size_t n_nodes);

} // namespace cellgrade
