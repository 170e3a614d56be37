// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/curve_edges.hpp"

#include "meshes/tets/edge_copies.hpp"
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
constexpr double least_share = 0.2;

/// Bows of the edges and how much of each is kept.
class Bows {
public:
    Bows(EdgeMiddles& middles, std::vector<EdgeCopy> copies, const Vec3& box)
        : middles_(middles), copies_(std::move(copies)), box_(box), straight_(middles.at),
          bow_(middles.at.size(), Vec3::Zero()), keep_(middles.at.size(), 1.0) {}

    void set(Index edge, const Vec3& to) { bow_[edge] = to - straight_[edge]; }
    void less(Index edge) { keep_[edge] = keep_[edge] > 0.3 ? 0.5 * keep_[edge] : 0.0; }

    void apply() {
        for (const EdgeCopy& copy : copies_) {
            const double keep = std::min(keep_[copy.edge], keep_[copy.original]);
            keep_[copy.edge] = keep_[copy.original] = keep;
        }
        for (const EdgeCopy& copy : copies_) // again: an original may have several copies
            keep_[copy.edge] = keep_[copy.original];
        for (std::size_t e = 0; e < bow_.size(); ++e)
            middles_.at[e] = straight_[e] + keep_[e] * bow_[e];
        for (const EdgeCopy& copy : copies_)
            middles_.at[copy.edge] =
                middles_.at[copy.original] + copy.image.cast<double>().cwiseProduct(box_);
    }
    [[nodiscard]] bool is_bowed(Index edge) const {
        return keep_[edge] > 0.0 && !bow_[edge].isZero(0.0);
    }
    void set_copies() {
        for (const EdgeCopy& copy : copies_)
            bow_[copy.edge] = bow_[copy.original];
    }
    [[nodiscard]] Index n_straightened() const {
        return static_cast<Index>(std::count(keep_.begin(), keep_.end(), 0.0));
    }

private:
    EdgeMiddles& middles_;
    std::vector<EdgeCopy> copies_;
    Vec3 box_;
    std::vector<Vec3> straight_, bow_;
    std::vector<double> keep_;
};

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
    const EdgeNumbers numbers = edge_numbers(middles);
    Bows bows(middles, edge_copies(middles, mesh, numbers), solid.box);
    for (const auto& face : outer_faces(mesh)) {
        if (is_on_side(mesh, face))
            continue;
        for (int i = 0; i < 3; ++i) {
            const Index a = face[i], b = face[(i + 1) % 3];
            const Index edge = numbers.at(edge_key(a, b));
            const double length = (mesh.nodes[a] - mesh.nodes[b]).norm();
            const unsigned held = mesh.held[a] & mesh.held[b];
            if (const auto to = onto_zero_set(solid, middles.at[edge], held, 0.25 * length))
                bows.set(edge, *to);
        }
    }
    bows.set_copies();
    bows.apply();
    for (bool valid = false; !valid;) {
        valid = true;
        for (std::size_t t = 0; t < mesh.tets.size(); ++t) {
            if (smallest_jacobian_share(ten_nodes(mesh, middles, t)) >= least_share)
                continue;
            for (const Index edge : middles.of_tet[t])
                if (bows.is_bowed(edge)) {
                    bows.less(edge);
                    valid = false;
                }
        }
        bows.apply();
    }
    middles.n_straight = bows.n_straightened();
}

} // namespace cellgrade
