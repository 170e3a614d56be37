// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/curve_edges.hpp"
#include "meshes/tets/linear_tets.hpp"

#include <cstdint>
#include <unordered_map>
#include <vector>

namespace cellgrade {

/// Number of each edge by edge_key() of its ends.
using EdgeNumbers = std::unordered_map<std::uint64_t, Index>;

[[nodiscard]] EdgeNumbers edge_numbers(const EdgeMiddles& middles);

/// Edges on far periodic sides, each with the near edge it repeats and the image between them.
struct EdgeCopy {
    Index edge, original;
    Vec3i image;
};

[[nodiscard]] std::vector<EdgeCopy>
edge_copies(const EdgeMiddles& middles, const LinearTets& mesh, const EdgeNumbers& numbers);

} // namespace cellgrade
