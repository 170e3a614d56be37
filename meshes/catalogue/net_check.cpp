// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/net_check.hpp"

#include "meshes/catalogue/segments.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

namespace cellgrade {
namespace {

using Row = std::array<std::int64_t, 3>;

/// Rows of an integer lattice in echelon form, extended one vector at a time.
struct EchelonLattice {
    std::array<Row, 3> rows{};

    void insert(Row v) {
        for (std::size_t k = 0; k < 3; ++k) {
            Row& row = rows[k];
            while (v[k] != 0) { // Euclid on the leading entries
                const std::int64_t q = row[k] / v[k];
                for (std::size_t i = 0; i < 3; ++i)
                    row[i] -= q * v[i];
                std::swap(row, v);
            }
        }
    }
    int rank() const { return (rows[0][0] != 0) + (rows[1][1] != 0) + (rows[2][2] != 0); }
    std::int64_t index() const { return std::abs(rows[0][0] * rows[1][1] * rows[2][2]); }
};

struct Tree {
    std::vector<Vec3i> offset;
    std::vector<bool> reached;
};

Tree spanning_tree(const StrutCell& cell) {
    const std::size_t n = cell.nodes.size();
    std::vector<std::vector<Index>> at(n);
    for (std::size_t s = 0; s < cell.struts.size(); ++s) {
        at[cell.struts[s].a].push_back(static_cast<Index>(s));
        at[cell.struts[s].b].push_back(static_cast<Index>(s));
    }
    Tree tree{std::vector<Vec3i>(n, Vec3i::Zero()), std::vector<bool>(n, false)};
    std::vector<Index> stack = {0};
    tree.reached[0] = true;
    while (!stack.empty()) {
        const Index here = stack.back();
        stack.pop_back();
        for (const Index s : at[here]) {
            const Strut& strut = cell.struts[s];
            const bool forward = strut.a == here;
            const Index there = forward ? strut.b : strut.a;
            if (tree.reached[there])
                continue;
            tree.reached[there] = true;
            tree.offset[there] = tree.offset[here] + (forward ? 1 : -1) * strut.image_b;
            stack.push_back(there);
        }
    }
    return tree;
}

/// A strut placed in space, and its box in lattice coordinates.
struct Placed {
    Vec3 from, along; ///< [m]
    Vec3 low, high;   ///< fractional
};

std::vector<Placed> place(const StrutCell& cell) {
    std::vector<Placed> placed;
    for (const Strut& strut : cell.struts) {
        const Vec3 a = cell.nodes[strut.a];
        const Vec3 b = cell.nodes[strut.b] + strut.image_b.cast<double>();
        placed.push_back({cell.lattice * a, cell.lattice * (b - a), a.cwiseMin(b), a.cwiseMax(b)});
    }
    return placed;
}

/// Where strut m, moved by `shift` cells, has an end that is also an end of strut k: the direction
/// of each away from it; both zero when there is none.
struct Shared {
    Vec3 away_k = Vec3::Zero();
    Vec3 away_m = Vec3::Zero();
};

Shared
shared_end(const StrutCell& cell, const std::vector<Placed>& at, Index k, Index m, Vec3i shift) {
    const Strut& x = cell.struts[k];
    const Strut& y = cell.struts[m];
    const Vec3i zero = Vec3i::Zero();
    if (x.a == y.a && shift == zero)
        return {at[k].along, at[m].along};
    if (x.a == y.b && shift + y.image_b == zero)
        return {at[k].along, -at[m].along};
    if (x.b == y.a && shift == x.image_b)
        return {-at[k].along, at[m].along};
    if (x.b == y.b && shift + y.image_b == x.image_b)
        return {-at[k].along, -at[m].along};
    return {};
}

std::optional<NetFault>
crossing(const StrutCell& cell, const std::vector<Placed>& at, Index k, Index m, Vec3i shift) {
    const Shared shared = shared_end(cell, at, k, m, shift);
    if (shared.away_k != Vec3::Zero()) {
        const double size = shared.away_k.norm() * shared.away_m.norm();
        if (shared.away_k.dot(shared.away_m) > (1.0 - 1e-9) * size)
            return NetFault{fmt::format("lies along strut {} from their common node", k), no_index,
                            m};
        return std::nullopt;
    }
    const Vec3 move = cell.lattice * shift.cast<double>();
    const SegmentGap gap = segment_gap(at[k].from, at[k].along, at[m].from + move, at[m].along);
    const double reach = std::max(at[k].along.norm(), at[m].along.norm());
    if (gap.distance > 1e-5 * reach)
        return std::nullopt;
    const bool at_end = gap.s == 0.0 || gap.s == 1.0 || gap.t == 0.0 || gap.t == 1.0;
    return NetFault{
        fmt::format("{} strut {} without being joined to it; split both at a common node",
                    at_end ? "meets" : "crosses", k),
        no_index, m};
}

std::optional<NetFault>
crossing_of_pair(const StrutCell& cell, const std::vector<Placed>& at, Index k, Index m) {
    constexpr double margin = 1e-5;
    const Vec3 first = at[k].low - at[m].high - Vec3::Constant(margin);
    const Vec3 last = at[k].high - at[m].low + Vec3::Constant(margin);
    const Vec3i from = first.array().ceil().matrix().cast<int>();
    const Vec3i to = last.array().floor().matrix().cast<int>();
    for (int x = from.x(); x <= to.x(); ++x)
        for (int y = from.y(); y <= to.y(); ++y)
            for (int z = from.z(); z <= to.z(); ++z) {
                const Vec3i shift(x, y, z);
                if (k == m && shift == Vec3i::Zero())
                    continue;
                if (auto fault = crossing(cell, at, k, m, shift))
                    return fault;
            }
    return std::nullopt;
}

} // namespace

std::optional<NetFault> find_loose_parts(const StrutCell& cell) {
    const Tree tree = spanning_tree(cell);
    const auto missed = std::find(tree.reached.begin(), tree.reached.end(), false);
    if (missed != tree.reached.end())
        return NetFault{"not joined to the first node: the net falls into parts",
                        static_cast<Index>(missed - tree.reached.begin()), no_index};
    EchelonLattice loops;
    for (const Strut& strut : cell.struts) {
        const Vec3i v = tree.offset[strut.a] + strut.image_b - tree.offset[strut.b];
        loops.insert({v.x(), v.y(), v.z()});
    }
    if (loops.rank() < 3)
        return NetFault{fmt::format(
            "joined to neighbouring cells in {} of 3 directions only: the net "
            "falls into {}",
            loops.rank(), std::array{"single pieces", "chains", "layers"}[loops.rank()])};
    if (loops.index() != 1)
        return NetFault{
            fmt::format("{} nets pass through one another without a joint", loops.index())};
    return std::nullopt;
}

std::optional<NetFault> find_crossing(const StrutCell& cell) {
    const std::vector<Placed> at = place(cell);
    for (Index m = 0; m < static_cast<Index>(at.size()); ++m)
        for (Index k = 0; k <= m; ++k)
            if (auto fault = crossing_of_pair(cell, at, k, m))
                return fault;
    return std::nullopt;
}

} // namespace cellgrade
