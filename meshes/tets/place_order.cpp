// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/place_order.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace cellgrade {

namespace {

constexpr unsigned axis_bits = 20; ///< a million cubes along an axis

/// Place along the curve of a cube with these three numbers, each below 2^axis_bits.
std::uint64_t hilbert_place(std::array<std::uint32_t, 3> x) {
    for (std::uint32_t bit = 1U << (axis_bits - 1U); bit > 1U; bit >>= 1U) {
        const std::uint32_t below = bit - 1U;
        for (std::uint32_t& axis : x) {
            if ((axis & bit) != 0U) {
                x[0] ^= below;
            } else {
                const std::uint32_t swap = (x[0] ^ axis) & below;
                x[0] ^= swap;
                axis ^= swap;
            }
        }
    }
    x[1] ^= x[0];
    x[2] ^= x[1];
    std::uint32_t turn = 0;
    for (std::uint32_t bit = 1U << (axis_bits - 1U); bit > 1U; bit >>= 1U)
        if ((x[2] & bit) != 0U)
            turn ^= bit - 1U;
    std::uint64_t place = 0;
    for (unsigned bit = axis_bits; bit-- > 0U;)
        for (const std::uint32_t axis : x)
            place = place << 1U | (((axis ^ turn) >> bit) & 1U);
    return place;
}

std::uint64_t place_of(const LinearTets& mesh, const Corners& tet, double cube) {
    const Vec3 middle =
        0.25 * (mesh.nodes[tet[0]] + mesh.nodes[tet[1]] + mesh.nodes[tet[2]] + mesh.nodes[tet[3]]);
    std::array<std::uint32_t, 3> x;
    for (int axis = 0; axis < 3; ++axis)
        x[axis] = static_cast<std::uint32_t>(
            std::clamp(std::floor(middle[axis] / cube), 0.0, std::ldexp(1.0, axis_bits) - 1.0));
    return hilbert_place(x);
}

/// new number -> old number, for every list that has one entry a node.
template <class List>
void pick(List& list, const std::vector<Index>& old) {
    if (list.empty())
        return;
    List picked(old.size());
    for (std::size_t n = 0; n < old.size(); ++n)
        picked[n] = list[old[n]];
    list = std::move(picked);
}

} // namespace

void sort_by_place(LinearTets& mesh, double cube) {
    std::vector<std::pair<std::uint64_t, Index>> order(mesh.tets.size());
    for (std::size_t t = 0; t < mesh.tets.size(); ++t)
        order[t] = {place_of(mesh, mesh.tets[t], cube), static_cast<Index>(t)};
    std::sort(order.begin(), order.end());
    std::vector<Corners> sorted(mesh.tets.size());
    std::vector<Index> number(mesh.nodes.size(), no_index), old;
    old.reserve(mesh.nodes.size());
    const auto number_of = [&](Index node) {
        if (number[node] == no_index) {
            number[node] = static_cast<Index>(old.size());
            old.push_back(node);
        }
        return number[node];
    };
    for (std::size_t t = 0; t < sorted.size(); ++t)
        for (int i = 0; i < 4; ++i)
            sorted[t][i] = number_of(mesh.tets[order[t].second][i]);
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        number_of(static_cast<Index>(n)); // those of no tetrahedron, if any, come last
    mesh.tets = std::move(sorted);
    pick(mesh.nodes, old);
    pick(mesh.on_surface, old);
    pick(mesh.held, old);
    pick(mesh.crease, old);
    for (NodeCopy& copy : mesh.copies)
        copy = {number[copy.node], number[copy.original], copy.image};
    std::sort(mesh.copies.begin(), mesh.copies.end(),
              [](const NodeCopy& a, const NodeCopy& b) { return a.node < b.node; });
}

} // namespace cellgrade
