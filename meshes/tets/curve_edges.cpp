// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/curve_edges.hpp"

#include "meshes/tets/creases.hpp"
#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/jacobian.hpp"
#include "meshes/tets/surface_faces.hpp"

#include <algorithm>
#include <cstdint>
#include <optional>
#include <unordered_map>
#include <utility>

namespace cellgrade {

namespace {

constexpr std::array<std::array<int, 2>, 6> edge_corners = {
    {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}}};
constexpr double least_share = 0.4;

using EdgeNumbers = std::unordered_map<std::uint64_t, Index>;

EdgeNumbers number_of(const EdgeMiddles& middles) {
    EdgeNumbers numbers;
    numbers.reserve(middles.ends.size());
    for (std::size_t e = 0; e < middles.ends.size(); ++e)
        numbers.emplace(edge_key(middles.ends[e][0], middles.ends[e][1]), static_cast<Index>(e));
    return numbers;
}

/// Edges on far periodic sides, each with the near edge it repeats and the image between them.
struct EdgeCopy {
    Index edge, original;
    Vec3i image;
};

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

/// Bows of the edges and how much of each is kept.
class Bows {
public:
    Bows(EdgeMiddles& middles, std::vector<EdgeCopy> copies, const Vec3& box)
        : middles_(middles), copies_(std::move(copies)), box_(box), straight_(middles.at),
          bow_(middles.at.size(), Vec3::Zero()), keep_(middles.at.size(), 1.0) {}

    void set(Index edge, const Vec3& to) { bow_[edge] = to - straight_[edge]; }
    void set_copies() {
        for (const EdgeCopy& copy : copies_)
            bow_[copy.edge] = bow_[copy.original];
    }
    /// Takes away half of the bows of a tetrahedron, at last all.
    void less_in(Index tet) {
        for (const Index edge : middles_.of_tet[tet])
            if (is_bowed(edge))
                less_.push_back(edge);
    }
    /// Places the middles; returns the tetrahedra at edges that less_in() named since the last
    /// call, ascending.
    [[nodiscard]] std::vector<Index> apply() {
        std::sort(less_.begin(), less_.end());
        less_.erase(std::unique(less_.begin(), less_.end()), less_.end());
        std::vector<bool> changed(keep_.size(), false);
        for (const Index edge : less_) {
            keep_[edge] = keep_[edge] > 0.3 ? 0.5 * keep_[edge] : 0.0;
            changed[edge] = true;
        }
        for (int twice = 0; twice < 2; ++twice) // an original may have several copies
            for (const EdgeCopy& copy : copies_) {
                const double keep = std::min(keep_[copy.edge], keep_[copy.original]);
                for (const Index edge : {copy.edge, copy.original})
                    if (keep_[edge] != keep) {
                        keep_[edge] = keep;
                        changed[edge] = true;
                    }
            }
        for (std::size_t e = 0; e < bow_.size(); ++e)
            middles_.at[e] = straight_[e] + keep_[e] * bow_[e];
        for (const EdgeCopy& copy : copies_)
            middles_.at[copy.edge] =
                middles_.at[copy.original] + copy.image.cast<double>().cwiseProduct(box_);
        std::vector<Index> touched;
        if (!less_.empty())
            touched = tets_with([&](Index edge) { return changed[edge]; });
        less_.clear();
        return touched;
    }
    [[nodiscard]] std::vector<Index> tets_with_bows() const {
        return tets_with([&](Index edge) { return is_bowed(edge); });
    }
    [[nodiscard]] Index n_straightened() const {
        return static_cast<Index>(std::count(keep_.begin(), keep_.end(), 0.0));
    }

private:
    [[nodiscard]] bool is_bowed(Index edge) const {
        return keep_[edge] > 0.0 && !bow_[edge].isZero(0.0);
    }
    template <class Wanted>
    [[nodiscard]] std::vector<Index> tets_with(Wanted wanted) const {
        std::vector<Index> tets;
        for (std::size_t t = 0; t < middles_.of_tet.size(); ++t)
            if (std::any_of(middles_.of_tet[t].begin(), middles_.of_tet[t].end(), wanted))
                tets.push_back(static_cast<Index>(t));
        return tets;
    }

    EdgeMiddles& middles_;
    std::vector<EdgeCopy> copies_;
    Vec3 box_;
    std::vector<Vec3> straight_, bow_;
    std::vector<double> keep_;
    std::vector<Index> less_;
};

/// Whether the edge runs along a crease or across one: both its ends on creases, or on different
/// pieces.
bool may_meet_crease(const LinearTets& mesh, const ImplicitSolid& solid, Index a, Index b) {
    if (!solid.pieces || mesh.crease.empty() || (mesh.crease[a] > 0) != (mesh.crease[b] > 0))
        return false;
    if (mesh.crease[a] > 0)
        return true;
    std::vector<FieldPiece> at_a, at_b;
    solid.pieces(mesh.nodes[a], 0.0, at_a);
    solid.pieces(mesh.nodes[b], 0.0, at_b);
    return at_a.empty() || at_b.empty() || at_a.front().number != at_b.front().number;
}

/// The middle of an edge of the surface, on the zero set and, along or across a crease, on it.
std::optional<Vec3>
place_of_middle(const LinearTets& mesh, const ImplicitSolid& solid, Index a, Index b) {
    const Vec3 middle = 0.5 * (mesh.nodes[a] + mesh.nodes[b]);
    const double reach = 0.25 * (mesh.nodes[a] - mesh.nodes[b]).norm();
    const unsigned held = mesh.held[a] & mesh.held[b];
    if (may_meet_crease(mesh, solid, a, b))
        if (const auto on_crease = onto_crease(solid, middle, held, 2, reach))
            return on_crease;
    return onto_zero_set(solid, middle, held, reach);
}

} // namespace

std::array<Vec3, 10>
ten_nodes(const LinearTets& mesh, const EdgeMiddles& middles, std::size_t tet) {
    std::array<Vec3, 10> x;
    for (int i = 0; i < 4; ++i)
        x[i] = mesh.nodes[mesh.tets[tet][i]];
    for (int i = 0; i < 6; ++i)
        x[4 + i] = middles.at[middles.of_tet[tet][i]];
    return x;
}

EdgeMiddles straight_middles(const LinearTets& mesh) {
    EdgeMiddles middles;
    middles.of_tet.resize(mesh.tets.size());
    EdgeNumbers numbers;
    numbers.reserve(2 * mesh.tets.size());
    for (std::size_t t = 0; t < mesh.tets.size(); ++t)
        for (int i = 0; i < 6; ++i) {
            const Index a = mesh.tets[t][edge_corners[i][0]], b = mesh.tets[t][edge_corners[i][1]];
            const auto [known, is_new] =
                numbers.emplace(edge_key(a, b), static_cast<Index>(middles.ends.size()));
            if (is_new) {
                middles.ends.push_back({std::min(a, b), std::max(a, b)});
                middles.at.emplace_back(0.5 * (mesh.nodes[a] + mesh.nodes[b]));
            }
            middles.of_tet[t][i] = known->second;
        }
    return middles;
}

void curve_edges(EdgeMiddles& middles, const LinearTets& mesh, const ImplicitSolid& solid) {
    const EdgeNumbers numbers = number_of(middles);
    Bows bows(middles, edge_copies(middles, mesh, numbers), solid.box);
    std::vector<bool> is_placed(middles.at.size(), false);
    for (const auto& face : outer_faces(mesh)) {
        if (is_on_side(mesh, face))
            continue;
        for (int i = 0; i < 3; ++i) {
            const Index a = face[i], b = face[(i + 1) % 3];
            const Index edge = numbers.at(edge_key(a, b));
            if (is_placed[edge])
                continue;
            is_placed[edge] = true;
            if (const auto to = place_of_middle(mesh, solid, a, b))
                bows.set(edge, *to);
        }
    }
    bows.set_copies();
    (void)bows.apply();
    std::vector<Index> to_check = bows.tets_with_bows();
    while (!to_check.empty()) {
        for (const Index tet : to_check)
            if (smallest_jacobian_share(ten_nodes(mesh, middles, tet)) < least_share)
                bows.less_in(tet);
        to_check = bows.apply();
    }
    middles.n_straight = bows.n_straightened();
}

} // namespace cellgrade
