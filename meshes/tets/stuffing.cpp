// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/stuffing.hpp"

#include "meshes/tets/cut_tets.hpp"
#include "meshes/tets/grid_cuts.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <unordered_map>
#include <utility>

namespace cellgrade {

namespace {

/// Numbers the nodes of the mesh as they are met.
class NodeNumbers {
public:
    NodeNumbers(const GridCuts& g, LinearTets& mesh)
        : g_(g), mesh_(mesh), of_grid_(g.grid.n_nodes(), no_index) {}

    Index grid_node(Index node) {
        Index& number = of_grid_[node];
        if (number == no_index) {
            const GridHome home = g_.home(node);
            const Index original = home.node == node ? no_index : grid_node(home.node);
            number = add(g_.position(node), g_.sign[node] == 0, g_.held_axes(node));
            mesh_.n_off_surface += g_.off_surface[node] ? 1 : 0;
            note_copy(number, original, home.image);
        }
        return of_grid_[node];
    }

    /// The crossing of an edge.
    Index cut(Index a, Index b) {
        if (a > b)
            std::swap(a, b);
        const std::uint64_t key = static_cast<std::uint64_t>(a) << 32U | static_cast<unsigned>(b);
        const auto known = of_cut_.find(key);
        if (known != of_cut_.end())
            return known->second;
        const GridHome home_a = g_.home(a), home_b = g_.home(b);
        const Vec3i image = home_a.image.cwiseMin(home_b.image);
        Index number = no_index;
        if (image.isZero()) {
            const GridCut* found = g_.find(a, b);
            CELLGRADE_ASSERT(found != nullptr);
            const Vec3 from = g_.grid.position(a), to = g_.grid.position(b);
            number = add(from + found->share * (to - from), true, held_by(a, b));
        } else {
            const Index original = cut(shifted(a, image), shifted(b, image));
            const Vec3 x = mesh_.nodes[original] + image.cast<double>().cwiseProduct(g_.grid.box());
            number = add(x, true, held_by(a, b));
            note_copy(number, original, image);
        }
        of_cut_.emplace(key, number);
        return number;
    }

private:
    Index add(const Vec3& x, bool on_surface, unsigned held) {
        mesh_.nodes.push_back(x);
        mesh_.on_surface.push_back(on_surface);
        mesh_.held.push_back(static_cast<std::uint8_t>(held));
        return static_cast<Index>(mesh_.nodes.size() - 1);
    }
    void note_copy(Index node, Index original, const Vec3i& image) {
        if (!image.isZero())
            mesh_.copies.push_back({.node = node, .original = original, .image = image});
    }
    /// Sides that hold both ends of an edge.
    [[nodiscard]] unsigned held_by(Index a, Index b) const {
        const Vec3i p = g_.grid.half_steps(a), q = g_.grid.half_steps(b);
        unsigned axes = g_.held_axes(a) & g_.held_axes(b);
        for (int axis = 0; axis < 3; ++axis)
            if (p[axis] != q[axis]) // of opposite sides
                axes &= ~(1U << axis);
        return axes;
    }
    [[nodiscard]] Index shifted(Index node, const Vec3i& image) const {
        Vec3i at = g_.grid.half_steps(node);
        for (int axis = 0; axis < 3; ++axis)
            at[axis] -= image[axis] * 2 * g_.grid.cubes()[axis];
        return g_.grid.node_at(at);
    }

    const GridCuts& g_;
    LinearTets& mesh_;
    std::vector<Index> of_grid_;
    std::unordered_map<std::uint64_t, Index> of_cut_;
};

} // namespace

LinearTets stuff(const ImplicitSolid& solid, const std::array<Index, 3>& cubes) {
    GridCuts g = find_grid_cuts(solid, cubes);
    warp_grid(g, solid);
    LinearTets mesh;
    NodeNumbers number(g, mesh);
    TetCutter cutter(
        g, mesh, [&](Index node) { return number.grid_node(node); },
        [&](Index a, Index b) { return number.cut(a, b); });
    for (Index k = 0; k < cubes[2]; ++k)
        g.grid.for_each_tet(k, [&](const Corners& tet) { cutter.add(tet, solid); });
    CELLGRADE_CHECK(!mesh.tets.empty(),
                    "no part of the solid is as thick as an element; a smaller element size or a "
                    "higher density is needed");
    std::sort(mesh.copies.begin(), mesh.copies.end(),
              [](const NodeCopy& p, const NodeCopy& q) { return p.node < q.node; });
    return mesh;
}

} // namespace cellgrade
