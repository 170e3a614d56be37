// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/pinches.hpp"

#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/node_mover.hpp"
#include "meshes/tets/surface_faces.hpp"
#include "solver/core/disjoint_sets.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <numbers>
#include <optional>
#include <unordered_set>
#include <utility>
#include <vector>

namespace cellgrade {

namespace {

constexpr int most_rounds = 20;
constexpr double fair_angle = 15.0 / 180.0 * std::numbers::pi;

class PinchFinder {
public:
    explicit PinchFinder(const LinearTets& mesh) : mesh_(mesh), original_(originals(mesh)) {}

    /// Edges with more than two faces, ascending.
    [[nodiscard]] std::vector<std::uint64_t> pinched_edges() const {
        std::vector<std::uint64_t> edges;
        for (const auto& face : free_faces(mesh_))
            for (int i = 0; i < 3; ++i)
                edges.push_back(edge_key(original_[face[i]], original_[face[(i + 1) % 3]]));
        std::sort(edges.begin(), edges.end());
        std::vector<std::uint64_t> pinched;
        for (std::size_t from = 0, to = 0; from < edges.size(); from = to) {
            while (to < edges.size() && edges[to] == edges[from])
                ++to;
            if (to - from > 2)
                pinched.push_back(edges[from]);
        }
        return pinched;
    }

    /// Numbers of the tetrahedra in the smaller bundles about the edges.
    [[nodiscard]] std::vector<Index>
    smaller_bundles(const std::vector<std::uint64_t>& edges) const {
        std::vector<std::pair<std::uint64_t, Index>> around;
        for (std::size_t t = 0; t < mesh_.tets.size(); ++t)
            for (int i = 0; i < 4; ++i)
                for (int j = i + 1; j < 4; ++j) {
                    const std::uint64_t key =
                        edge_key(original_[mesh_.tets[t][i]], original_[mesh_.tets[t][j]]);
                    if (std::binary_search(edges.begin(), edges.end(), key))
                        around.emplace_back(key, static_cast<Index>(t));
                }
        std::sort(around.begin(), around.end());
        std::vector<Index> taken;
        for (std::size_t from = 0, to = 0; from < around.size(); from = to) {
            while (to < around.size() && around[to].first == around[from].first)
                ++to;
            add_smaller(std::span(around).subspan(from, to - from), taken);
        }
        std::sort(taken.begin(), taken.end());
        taken.erase(std::unique(taken.begin(), taken.end()), taken.end());
        return taken;
    }

private:
    /// Tetrahedra that share a face (three glued corners) are in one bundle.
    void add_smaller(std::span<const std::pair<std::uint64_t, Index>> around,
                     std::vector<Index>& taken) const {
        DisjointSets bundles(around.size());
        const auto corners = [&](std::size_t k) {
            Corners c;
            for (int i = 0; i < 4; ++i)
                c[i] = original_[mesh_.tets[around[k].second][i]];
            return c;
        };
        for (std::size_t p = 0; p < around.size(); ++p)
            for (std::size_t q = p + 1; q < around.size(); ++q) {
                const Corners a = corners(p), b = corners(q);
                const auto shared = std::count_if(a.begin(), a.end(), [&](Index node) {
                    return std::find(b.begin(), b.end(), node) != b.end();
                });
                if (shared >= 3)
                    bundles.join(static_cast<Index>(p), static_cast<Index>(q));
            }
        std::vector<double> volumes(around.size(), 0.0);
        for (std::size_t k = 0; k < around.size(); ++k) {
            const Corners& t = mesh_.tets[around[k].second];
            volumes[bundles.find(static_cast<Index>(k))] += six_volumes(
                mesh_.nodes[t[0]], mesh_.nodes[t[1]], mesh_.nodes[t[2]], mesh_.nodes[t[3]]);
        }
        const auto largest = std::max_element(volumes.begin(), volumes.end()) - volumes.begin();
        for (std::size_t k = 0; k < around.size(); ++k)
            if (bundles.find(static_cast<Index>(k)) != largest)
                taken.push_back(around[k].second);
    }

    const LinearTets& mesh_;
    std::vector<Index> original_;
};

/// Corners of the tetrahedra taken away, still in use, become surface: on the zero set where a move
/// there leaves fair shapes.
void settle(LinearTets& mesh,
            const ImplicitSolid& solid,
            const std::vector<Index>& bare,
            double cube) {
    NodeMover mover(mesh, solid.box);
    for (const Index node : bare) {
        if (mover.is_copy(node) || mesh.on_surface[node])
            continue;
        const auto to = onto_zero_set(solid, mesh.nodes[node], mesh.held[node], cube);
        if (!to)
            continue;
        const WorstAround before = mover.worst_around(node);
        const Vec3 from = mesh.nodes[node];
        mover.move(node, *to);
        const WorstAround after = mover.worst_around(node);
        if (after.angle >= std::min(before.angle, fair_angle) && after.height > 0.125 * cube)
            mesh.on_surface[node] = true;
        else
            mover.move(node, from);
    }
    for (const NodeCopy& copy : mesh.copies)
        mesh.on_surface[copy.node] = mesh.on_surface[copy.original];
}

} // namespace

Index remove_pinches(LinearTets& mesh, const ImplicitSolid& solid, double cube) {
    Index removed = 0;
    std::vector<Index> bare;
    for (int round = 0; round <= most_rounds; ++round) {
        const PinchFinder finder(mesh);
        const std::vector<std::uint64_t> edges = finder.pinched_edges();
        if (edges.empty())
            break;
        CELLGRADE_CHECK(round < most_rounds,
                        "parts of the solid touch along {} edges of the mesh; smaller elements "
                        "are needed",
                        edges.size());
        const std::vector<Index> taken = finder.smaller_bundles(edges);
        removed += static_cast<Index>(taken.size());
        std::vector<Corners> kept;
        kept.reserve(mesh.tets.size());
        for (std::size_t t = 0; t < mesh.tets.size(); ++t)
            if (std::binary_search(taken.begin(), taken.end(), static_cast<Index>(t)))
                bare.insert(bare.end(), mesh.tets[t].begin(), mesh.tets[t].end());
            else
                kept.push_back(mesh.tets[t]);
        mesh.tets = std::move(kept);
    }
    std::sort(bare.begin(), bare.end());
    bare.erase(std::unique(bare.begin(), bare.end()), bare.end());
    std::unordered_set<Index> used;
    for (const auto& face : outer_faces(mesh))
        used.insert(face.begin(), face.end());
    std::erase_if(bare, [&](Index node) { return used.count(node) == 0; });
    settle(mesh, solid, bare, cube);
    return removed;
}

} // namespace cellgrade
