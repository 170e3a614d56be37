// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/field_roots.hpp"
#include "meshes/tets/grid_cuts.hpp"

#include <algorithm>
#include <optional>
#include <tuple>

namespace cellgrade {

namespace {

/// A crossing close to one end of its edge.
struct Close {
    Index node = no_index;  ///< home of that end
    double distance = 0.0;  ///< [m]
    Index cut = no_index;   ///< number in GridCuts::cuts
    Index other = no_index; ///< home of the other end
    Vec3 move;              ///< from the node to the crossing [m]
};

/// Share of an edge below which its end is moved: by Labelle and Shewchuk (2007) for cube edges
/// and half diagonals; on the sides the same 0.25 of a cube edge.
double close_share(const Vec3i& along) {
    const Vec3i size = along.cwiseAbs();
    switch (size.sum()) {
    case 1:
        return 0.5; // centre to middle of an outer face
    case 3:
        return 0.41189; // centre to corner
    default:
        return size.maxCoeff() == 2 ? 0.24999 : 0.35355; // cube edge; middle of a face to corner
    }
}

std::vector<Close> close_ends(const GridCuts& g) {
    std::vector<Close> close;
    for (std::size_t c = 0; c < g.cuts.size(); ++c) {
        const GridCut& cut = g.cuts[c];
        const Vec3i along = g.grid.half_steps(cut.b) - g.grid.half_steps(cut.a);
        const Vec3 edge = 0.5 * along.cast<double>().cwiseProduct(g.grid.step());
        const double limit = close_share(along);
        const Index a = g.home(cut.a).node, b = g.home(cut.b).node;
        const auto number = static_cast<Index>(c);
        if (cut.share < limit)
            close.push_back({a, cut.share * edge.norm(), number, b, cut.share * edge});
        if (1.0 - cut.share < limit)
            close.push_back(
                {b, (1.0 - cut.share) * edge.norm(), number, a, -(1.0 - cut.share) * edge});
    }
    std::sort(close.begin(), close.end(), [](const Close& p, const Close& q) {
        return std::tie(p.node, p.distance, p.cut) < std::tie(q.node, q.distance, q.cut);
    });
    return close;
}

bool may_move(const Vec3& move, unsigned held) {
    for (int axis = 0; axis < 3; ++axis)
        if ((held >> axis & 1U) != 0U && move[axis] != 0.0)
            return false;
    return true;
}

/// The way from a node on a side to the zero set inside that side, at most `reach` long: along the
/// gradient in the side, to a crossing within reach.
std::optional<Vec3>
way_in_side(const ImplicitSolid& solid, const Vec3& x, unsigned held, double reach) {
    const double h = 1e-3 * reach;
    Vec3 gradient = Vec3::Zero();
    for (int axis = 0; axis < 3; ++axis) {
        if ((held >> axis & 1U) != 0U)
            continue;
        Vec3 up = x, down = x;
        up[axis] += h;
        down[axis] -= h;
        gradient[axis] = (solid.value(up) - solid.value(down)) / (2.0 * h);
    }
    const double f = solid.value(x), size = gradient.norm();
    if (!(size > 0.0))
        return std::nullopt;
    const Vec3 end = (f > 0.0 ? -1.0 : 1.0) * reach / size * gradient;
    for (int axis = 0; axis < 3; ++axis)
        if (x[axis] + end[axis] < 0.0 || x[axis] + end[axis] > solid.box[axis])
            return std::nullopt;
    const double f_end = solid.value(x + end);
    if ((f_end < 0.0) == (f < 0.0))
        return std::nullopt;
    const Crossing line{x, x + end, f, f_end};
    return field_roots(solid.field, std::span(&line, 1)).front() * end;
}

} // namespace

void warp_grid(GridCuts& g, const ImplicitSolid& solid) {
    const std::vector<Close> close = close_ends(g);
    const double reach = 0.35 * g.grid.step().minCoeff();
    for (std::size_t from = 0, to = 0; from < close.size(); from = to) {
        const Index node = close[from].node;
        const unsigned held = g.held_axes(node);
        bool blocked = false;
        for (to = from; to < close.size() && close[to].node == node; ++to) {
            if (g.sign[node] == 0 || g.sign[close[to].other] == 0)
                continue;
            if (!may_move(close[to].move, held)) {
                blocked = true;
                continue;
            }
            g.move[node] = close[to].move;
            g.sign[node] = 0;
        }
        if (g.sign[node] != 0 && blocked) {
            const std::optional<Vec3> way = way_in_side(solid, g.grid.position(node), held, reach);
            g.move[node] = way.value_or(Vec3::Zero());
            g.off_surface[node] = !way;
            g.sign[node] = 0;
        }
    }
    for (Index node = 0; node < g.grid.n_nodes(); ++node) {
        const GridHome home = g.home(node);
        if (home.node == node)
            continue;
        g.move[node] = g.move[home.node];
        g.sign[node] = g.sign[home.node];
        g.off_surface[node] = g.off_surface[home.node];
    }
}

} // namespace cellgrade
