// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/grid_cuts.hpp"

#include "meshes/tets/field_roots.hpp"

#include <algorithm>
#include <tuple>

namespace cellgrade {

namespace {

std::int8_t sign_of(double f) {
    return f < 0.0 ? std::int8_t{-1} : f > 0.0 ? std::int8_t{1} : std::int8_t{0};
}

std::vector<double> grid_values(const StuffingGrid& grid, const ImplicitSolid::Field& field) {
    constexpr Index piece = 1 << 16;
    std::vector<double> values;
    values.reserve(grid.n_nodes());
    std::vector<Vec3> points;
    for (Index from = 0; from < grid.n_nodes(); from += piece) {
        points.clear();
        for (Index node = from; node < std::min(grid.n_nodes(), from + piece); ++node)
            points.push_back(grid.position(node));
        const std::vector<double> part = field_values(field, points);
        values.insert(values.end(), part.begin(), part.end());
    }
    return values;
}

/// Edges whose ends have opposite signs, ascending, without those on far periodic sides.
std::vector<GridCut> crossing_edges(const GridCuts& g) {
    std::vector<GridCut> edges;
    const auto take = [&](Index a, Index b) {
        if (g.sign[a] * g.sign[b] < 0 && (g.home(a).image.cwiseMin(g.home(b).image)).isZero())
            edges.push_back({.a = std::min(a, b), .b = std::max(a, b)});
    };
    const auto before = [](const GridCut& p, const GridCut& q) {
        return std::tie(p.a, p.b) < std::tie(q.a, q.b);
    };
    const auto same = [](const GridCut& p, const GridCut& q) { return p.a == q.a && p.b == q.b; };
    for (Index k = 0; k < g.grid.cubes()[2]; ++k) {
        g.grid.for_each_tet(k, [&](const std::array<Index, 4>& tet) {
            for (int i = 0; i < 4; ++i)
                for (int j = i + 1; j < 4; ++j)
                    take(tet[i], tet[j]);
        });
    }
    std::sort(edges.begin(), edges.end(), before);
    edges.erase(std::unique(edges.begin(), edges.end(), same), edges.end());
    return edges;
}

} // namespace

GridHome GridCuts::home(Index node) const {
    const Vec3i at = grid.half_steps(node);
    GridHome home{.node = node};
    Vec3i near = at;
    for (int axis = 0; axis < 3; ++axis)
        if (periodic[axis] && at[axis] == 2 * grid.cubes()[axis]) {
            near[axis] = 0;
            home.image[axis] = 1;
        }
    if (!home.image.isZero())
        home.node = grid.node_at(near);
    return home;
}

unsigned GridCuts::held_axes(Index node) const {
    const Vec3i at = grid.half_steps(node);
    unsigned axes = 0;
    for (int axis = 0; axis < 3; ++axis)
        if (at[axis] == 0 || at[axis] == 2 * grid.cubes()[axis])
            axes |= 1U << axis;
    return axes;
}

const GridCut* GridCuts::find(Index a, Index b) const {
    const GridCut key{.a = std::min(a, b), .b = std::max(a, b)};
    const auto at =
        std::lower_bound(cuts.begin(), cuts.end(), key, [](const GridCut& p, const GridCut& q) {
            return std::tie(p.a, p.b) < std::tie(q.a, q.b);
        });
    return at != cuts.end() && at->a == key.a && at->b == key.b ? &*at : nullptr;
}

GridCuts find_grid_cuts(const ImplicitSolid& solid, const std::array<Index, 3>& cubes) {
    GridCuts g{StuffingGrid(solid.box, cubes), solid.periodic, {}, {}, {}, {}};
    const std::vector<double> values = grid_values(g.grid, solid.field);
    g.sign.reserve(values.size());
    for (const double f : values)
        g.sign.push_back(sign_of(f));
    g.move.assign(values.size(), Vec3::Zero());
    g.off_surface.assign(values.size(), false);
    g.cuts = crossing_edges(g);
    std::vector<Crossing> lines;
    lines.reserve(g.cuts.size());
    for (const GridCut& cut : g.cuts)
        lines.push_back(
            {g.grid.position(cut.a), g.grid.position(cut.b), values[cut.a], values[cut.b]});
    const std::vector<double> shares = field_roots(solid.field, lines);
    for (std::size_t i = 0; i < shares.size(); ++i)
        g.cuts[i].share = shares[i];
    return g;
}

} // namespace cellgrade
