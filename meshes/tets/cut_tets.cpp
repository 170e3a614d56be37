// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/cut_tets.hpp"

#include "solver/core/error.hpp"

#include <algorithm>

namespace cellgrade {

void TetCutter::add(const Corners& tet, const ImplicitSolid& solid) {
    std::array<Index, 4> inside{}, on{}, outside{};
    int n_in = 0, n_on = 0, n_out = 0;
    for (const Index node : tet) {
        if (g_.sign[node] < 0)
            inside[n_in++] = node;
        else if (g_.sign[node] == 0)
            on[n_on++] = node;
        else
            outside[n_out++] = node;
    }
    if (n_in == 0) {
        if (n_on < 4)
            return;
        Vec3 middle = Vec3::Zero();
        for (const Index node : tet)
            middle += 0.25 * g_.position(node);
        if (solid.value(middle) < 0.0)
            whole(tet);
    } else if (n_out == 0) {
        whole(tet);
    } else if (n_in == 1) {
        Corners nodes;
        for (int i = 0; i < 4; ++i)
            nodes[i] = g_.sign[tet[i]] > 0 ? cut_node_(inside[0], tet[i]) : grid_node_(tet[i]);
        fill(nodes);
    } else if (n_in == 3) {
        three_inside({inside[0], inside[1], inside[2]}, outside[0]);
    } else if (n_out == 2) {
        two_and_two({inside[0], inside[1]}, {outside[0], outside[1]});
    } else {
        two_and_one({inside[0], inside[1]}, outside[0], on[0]);
    }
}

void TetCutter::whole(const Corners& tet) {
    Corners nodes;
    for (int i = 0; i < 4; ++i)
        nodes[i] = grid_node_(tet[i]);
    fill(nodes);
}

/// Adds a tetrahedron, turned to positive volume.
void TetCutter::fill(const Corners& nodes) {
    Corners n = nodes;
    const auto& x = mesh_.nodes;
    if (six_volumes(x[n[0]], x[n[1]], x[n[2]], x[n[3]]) < 0.0)
        std::swap(n[2], n[3]);
    mesh_.tets.push_back(n);
}

/// The number that a node and its periodic copies share.
Index TetCutter::identity(Index node) const {
    const auto at =
        std::lower_bound(mesh_.copies.begin(), mesh_.copies.end(), node,
                         [](const NodeCopy& copy, Index wanted) { return copy.node < wanted; });
    return at != mesh_.copies.end() && at->node == node ? at->original : node;
}

/// Of a quadrilateral, corners in turn: whether 0-2 is shorter than 1-3. Where both are equal the
/// one with the lowest node. The same for both tetrahedra at the face and for periodic copies.
bool TetCutter::shorter_diagonal(const std::array<Index, 4>& ring) const {
    const auto& x = mesh_.nodes;
    const double first = (x[ring[0]] - x[ring[2]]).squaredNorm();
    const double second = (x[ring[1]] - x[ring[3]]).squaredNorm();
    if (std::abs(first - second) > 1e-9 * (first + second))
        return first < second;
    return std::min(identity(ring[0]), identity(ring[2])) <
           std::min(identity(ring[1]), identity(ring[3]));
}

/// A quadrilateral, corners in turn, under an apex.
void TetCutter::pyramid(const std::array<Index, 4>& r, Index apex, bool first_diagonal) {
    if (first_diagonal) {
        fill({r[0], r[1], r[2], apex});
        fill({r[0], r[2], r[3], apex});
    } else {
        fill({r[1], r[2], r[3], apex});
        fill({r[1], r[3], r[0], apex});
    }
}

/// Two triangles a and b with quadrilaterals (a_i, a_j, b_j, b_i), j after i in turn, split from
/// a_i to b_j where diagonal[i], else from a_j to b_i.
void TetCutter::wedge(const std::array<Index, 3>& a,
                      const std::array<Index, 3>& b,
                      const std::array<bool, 3>& diagonal) {
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3, h = (i + 2) % 3;
        const std::array<Index, 4> far = {a[j], a[h], b[h], b[j]};
        // both quadrilaterals at a_i split there: it sees b whole and the far quadrilateral
        if (diagonal[i] && !diagonal[h]) {
            fill({a[i], b[0], b[1], b[2]});
            pyramid(far, a[i], diagonal[j]);
            return;
        }
        if (!diagonal[i] && diagonal[h]) {
            fill({b[i], a[0], a[1], a[2]});
            pyramid(far, b[i], diagonal[j]);
            return;
        }
    }
    // the diagonals run in a circle: no three tetrahedra fill such a wedge, a node inside does
    Vec3 middle = Vec3::Zero();
    for (int i = 0; i < 3; ++i)
        middle += (mesh_.nodes[a[i]] + mesh_.nodes[b[i]]) / 6.0;
    mesh_.nodes.push_back(middle);
    mesh_.on_surface.push_back(false);
    mesh_.held.push_back(0);
    const auto apex = static_cast<Index>(mesh_.nodes.size() - 1);
    fill({a[0], a[1], a[2], apex});
    fill({b[0], b[1], b[2], apex});
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3;
        pyramid({a[i], a[j], b[j], b[i]}, apex, diagonal[i]);
    }
}

void TetCutter::three_inside(const std::array<Index, 3>& inside, Index outside) {
    std::array<Index, 3> a, b;
    for (int i = 0; i < 3; ++i) {
        a[i] = grid_node_(inside[i]);
        b[i] = cut_node_(inside[i], outside);
    }
    std::array<bool, 3> diagonal;
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3;
        diagonal[i] = shorter_diagonal({a[i], a[j], b[j], b[i]});
    }
    wedge(a, b, diagonal);
}

void TetCutter::two_and_two(const std::array<Index, 2>& inside,
                            const std::array<Index, 2>& outside) {
    std::array<std::array<Index, 3>, 2> end;
    for (int i = 0; i < 2; ++i)
        end[i] = {grid_node_(inside[i]), cut_node_(inside[i], outside[0]),
                  cut_node_(inside[i], outside[1])};
    const auto quad = [&](int i) {
        const int j = (i + 1) % 3;
        return std::array<Index, 4>{end[0][i], end[0][j], end[1][j], end[1][i]};
    };
    std::array<bool, 3> diagonal = {shorter_diagonal(quad(0)), shorter_diagonal(quad(1)),
                                    shorter_diagonal(quad(2))};
    // the middle quadrilateral is the surface, in this tetrahedron alone: never a circle
    if (diagonal[0] == diagonal[1] && diagonal[1] == diagonal[2])
        diagonal[1] = !diagonal[1];
    wedge(end[0], end[1], diagonal);
}

void TetCutter::two_and_one(const std::array<Index, 2>& inside, Index outside, Index on) {
    const std::array<Index, 4> ring = {grid_node_(inside[0]), grid_node_(inside[1]),
                                       cut_node_(inside[1], outside),
                                       cut_node_(inside[0], outside)};
    pyramid(ring, grid_node_(on), shorter_diagonal(ring));
}

} // namespace cellgrade
