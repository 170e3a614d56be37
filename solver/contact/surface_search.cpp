// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_search.hpp"

#include "solver/contact/ball_grid.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

using Shift = std::array<Index, 3>;

void set_corner(SurfacePair& pair, int k, const SurfaceCorner& corner, const Shift& shift) {
    pair.vertex[k] = corner.vertex;
    for (int i = 0; i < 3; ++i) {
        pair.image[k][i] = static_cast<std::int16_t>(corner.image[i] + shift[i]);
        pair.has_image = pair.has_image || pair.image[k][i] != 0;
    }
}

bool share_vertex(const SurfacePair& pair) {
    const int n_first = pair.kind == SurfacePair::Kind::VertexTriangle ? 1 : 2;
    for (int a = 0; a < n_first; ++a)
        for (int b = n_first; b < 4; ++b)
            if (pair.vertex[a] == pair.vertex[b] && pair.image[a] == pair.image[b])
                return true;
    return false;
}

template <std::size_t n>
std::vector<Ball> balls_around(const std::vector<std::array<SurfaceCorner, n>>& parts,
                               std::span<const Vec3> x,
                               const Vec3& box) {
    std::vector<Ball> balls(parts.size());
    const auto n_parts = static_cast<Index>(parts.size());
#pragma omp parallel for schedule(static) if (n_parts > 2000)
    for (Index k = 0; k < n_parts; ++k) {
        std::array<Vec3, n> at;
        for (std::size_t c = 0; c < n; ++c) {
            at[c] = x[parts[k][c].vertex] + moved_by(parts[k][c].image, box);
            balls[k].middle += at[c] / static_cast<double>(n);
        }
        for (const Vec3& corner : at)
            balls[k].radius = std::fmax(balls[k].radius, (corner - balls[k].middle).norm());
    }
    return balls;
}

double mean_radius(std::span<const Ball> balls) {
    double sum = 0.0;
    for (const Ball& ball : balls)
        sum += ball.radius;
    return sum / static_cast<double>(std::max<std::size_t>(balls.size(), 1));
}

struct Search {
    const ContactSurface& surface;
    std::span<const Vec3> x;
    std::span<const double> layer;
    Vec3 box;
    double margin = 0.0, widest_layer = 0.0;
    std::vector<Ball> edges, triangles, vertices;

    // Ball tests made from one edge or triangle; near pairs are added to `found`.
    std::size_t from_edge(const BallGrid& grid, Index e, std::vector<PairKey>& found) const {
        std::size_t n_tested = 0;
        const double range = widest_layer + margin;
        grid.for_each_near(edges[e], range, [&](Index f, const Shift& shift, bool overlaps) {
            // Each pair is met from both sides; keep it on its canonical one.
            if (f < e || (f == e && shift <= Shift{}))
                return;
            ++n_tested;
            if (overlaps)
                keep_if_near({edge_key(surface, e), edge_key(surface, f), shift}, found);
        });
        return n_tested;
    }
    std::size_t from_triangle(const BallGrid& grid, Index t, std::vector<PairKey>& found) const {
        std::size_t n_tested = 0;
        const double range = widest_layer + margin;
        grid.for_each_near(triangles[t], range, [&](Index v, const Shift& shift, bool overlaps) {
            ++n_tested;
            // In the key the triangle is moved, not the vertex.
            if (overlaps)
                keep_if_near({v, triangle_key(surface, t), {-shift[0], -shift[1], -shift[2]}},
                             found);
        });
        return n_tested;
    }
    void keep_if_near(const PairKey& key, std::vector<PairKey>& found) const {
        const SurfacePair pair = surface_pair(surface, key);
        if (share_vertex(pair))
            return;
        PairPlaces at;
        double least = widest_layer;
        for (int k = 0; k < 4; ++k) {
            at[k] = pair.place(k, x, box);
            least = std::fmin(least, layer[pair.vertex[k]]);
        }
        if (nearest_points(pair.kind, at).distance < least + margin)
            found.push_back(key);
    }
};

// Runs `from` over 0 .. n in fixed chunks and joins what they found in order.
template <class From>
std::size_t search_all(Index n, From&& from, std::vector<PairKey>& pairs) {
    constexpr Index chunk = 512;
    const Index n_chunks = (n + chunk - 1) / chunk;
    std::vector<std::vector<PairKey>> found(n_chunks);
    std::vector<std::size_t> tested(n_chunks, 0);
#pragma omp parallel for schedule(static, 1) if (n_chunks > 1)
    for (Index c = 0; c < n_chunks; ++c)
        for (Index k = c * chunk; k < std::min(n, (c + 1) * chunk); ++k)
            tested[c] += from(k, found[c]);
    std::size_t n_tested = 0;
    for (Index c = 0; c < n_chunks; ++c) {
        pairs.insert(pairs.end(), found[c].begin(), found[c].end());
        n_tested += tested[c];
    }
    return n_tested;
}

} // namespace

SurfacePair surface_pair(const ContactSurface& surface, const PairKey& key) {
    SurfacePair pair;
    const Index n_vertices = surface.n_vertices();
    if (key.first < n_vertices) {
        pair.kind = SurfacePair::Kind::VertexTriangle;
        set_corner(pair, 0, {.vertex = key.first}, {});
        const auto& corners = surface.triangles[key.second - n_vertices - surface.n_edges()];
        for (int k = 0; k < 3; ++k)
            set_corner(pair, k + 1, corners[k], key.shift);
        return pair;
    }
    pair.kind = SurfacePair::Kind::EdgeEdge;
    for (int k = 0; k < 2; ++k) {
        set_corner(pair, k, surface.edges[key.first - n_vertices][k], {});
        set_corner(pair, k + 2, surface.edges[key.second - n_vertices][k], key.shift);
    }
    return pair;
}

std::vector<PairKey> find_surface_pairs(const ContactSurface& surface,
                                        std::span<const Vec3> x,
                                        std::span<const double> layer,
                                        const Vec3& box,
                                        double margin,
                                        std::size_t* n_tested) {
    Search search{.surface = surface, .x = x, .layer = layer, .box = box, .margin = margin};
    for (const double thickness : layer)
        search.widest_layer = std::fmax(search.widest_layer, thickness);
    search.edges = balls_around(surface.edges, x, box);
    search.triangles = balls_around(surface.triangles, x, box);
    for (const Vec3& at : x)
        search.vertices.push_back({.middle = at});

    std::vector<PairKey> pairs;
    // Cells of about one edge: the balls are thin in a grid of their own reach.
    const double width = 2.0 * mean_radius(search.edges) + search.widest_layer + margin;
    const BallGrid vertices(search.vertices, box, surface.periodic, width);
    std::size_t tested = search_all(
        surface.n_triangles(),
        [&](Index t, std::vector<PairKey>& found) {
            return search.from_triangle(vertices, t, found);
        },
        pairs);
    const BallGrid edges(search.edges, box, surface.periodic, width);
    tested += search_all(
        surface.n_edges(),
        [&](Index e, std::vector<PairKey>& found) { return search.from_edge(edges, e, found); },
        pairs);
    std::sort(pairs.begin(), pairs.end());
    if (n_tested != nullptr)
        *n_tested = tested;
    return pairs;
}

} // namespace cellgrade
