// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/edge_copies.hpp"

namespace cellgrade {

EdgeNumbers edge_numbers(const EdgeMiddles& middles) {
    EdgeNumbers numbers;
    numbers.reserve(middles.ends.size());
    for (std::size_t e = 0; e < middles.ends.size(); ++e)
        numbers.emplace(edge_key(middles.ends[e][0], middles.ends[e][1]), static_cast<Index>(e));
    return numbers;
}

std::vector<EdgeCopy>
edge_copies(const EdgeMiddles& middles, const LinearTets& mesh, const EdgeNumbers& numbers) {
    std::unordered_map<Index, NodeCopy> copy_of;
    std::unordered_map<std::uint64_t, Index> node_of; // original and image to node
    const auto key = [](Index original, const Vec3i& image) {
        return static_cast<std::uint64_t>(original) << 3U |
               static_cast<unsigned>(image[0] + 2 * image[1] + 4 * image[2]);
    };
    for (const NodeCopy& copy : mesh.copies) {
        copy_of.emplace(copy.node, copy);
        node_of.emplace(key(copy.original, copy.image), copy.node);
        node_of.emplace(key(copy.original, Vec3i::Zero()), copy.original);
    }
    std::vector<EdgeCopy> copies;
    for (std::size_t e = 0; e < middles.ends.size(); ++e) {
        const auto a = copy_of.find(middles.ends[e][0]), b = copy_of.find(middles.ends[e][1]);
        if (a == copy_of.end() || b == copy_of.end())
            continue;
        const Vec3i image = a->second.image.cwiseMin(b->second.image);
        if (image.isZero())
            continue;
        const auto p = node_of.find(key(a->second.original, a->second.image - image));
        const auto q = node_of.find(key(b->second.original, b->second.image - image));
        if (p == node_of.end() || q == node_of.end())
            continue; // the solid touches this side in an edge alone: nothing opposite
        if (const auto near = numbers.find(edge_key(p->second, q->second)); near != numbers.end())
            copies.push_back({static_cast<Index>(e), near->second, image});
    }
    return copies;
}

} // namespace cellgrade
