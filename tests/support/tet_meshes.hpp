// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <random>
#include <vector>

/// Structured meshes of quadratic tetrahedra for tests and benchmarks: a triangulation drawn out
/// along z, each prism cut into three.
namespace cellgrade::test {

struct Triangulation {
    std::vector<Eigen::Vector2d> points;
    std::vector<std::array<Index, 3>> triangles; ///< counter-clockwise
};

/// Unit square in nx by ny cells, two triangles each, diagonals alternating.
inline Triangulation unit_square(int nx, int ny) {
    Triangulation t;
    for (int j = 0; j <= ny; ++j)
        for (int i = 0; i <= nx; ++i)
            t.points.emplace_back(double(i) / nx, double(j) / ny);
    for (int j = 0; j < ny; ++j)
        for (int i = 0; i < nx; ++i) {
            const Index a = j * (nx + 1) + i, b = a + 1, c = a + nx + 1, d = c + 1;
            if ((i + j) % 2 == 0) {
                t.triangles.push_back({a, b, d});
                t.triangles.push_back({a, d, c});
            } else {
                t.triangles.push_back({a, b, c});
                t.triangles.push_back({b, d, c});
            }
        }
    return t;
}

/// Unit disc in n rings of 6, 18, 30 ... triangles: 2 n elements across. `ring` gives the radius of
/// ring k.
template <class Ring>
Triangulation unit_disc(int n, Ring ring) {
    Triangulation t;
    t.points.emplace_back(0.0, 0.0);
    const auto first = [](int k) { return k == 0 ? 0 : 1 + 3 * k * (k - 1); };
    for (int k = 1; k <= n; ++k)
        for (int i = 0; i < 6 * k; ++i) {
            const double angle = std::numbers::pi * i / (3.0 * k);
            t.points.emplace_back(ring(k) * std::cos(angle), ring(k) * std::sin(angle));
        }
    for (int k = 1; k <= n; ++k)
        for (int sector = 0; sector < 6; ++sector)
            for (int i = 0; i < k; ++i) {
                const auto outer = [&](int at) { return first(k) + (sector * k + at) % (6 * k); };
                const auto inner = [&](int at) {
                    return k == 1 ? 0 : first(k - 1) + (sector * (k - 1) + at) % (6 * (k - 1));
                };
                t.triangles.push_back({outer(i), outer(i + 1), inner(i)});
                if (i + 1 < k)
                    t.triangles.push_back({inner(i), outer(i + 1), inner(i + 1)});
            }
    return t;
}

inline Triangulation unit_disc(int n) {
    return unit_disc(n, [n](int k) { return double(k) / n; });
}

/// Adds straight edge middles to tetrahedra given by their corners.
inline TetMesh quadratic(std::vector<Vec3> corners, const std::vector<std::array<Index, 4>>& tets) {
    TetMesh mesh;
    mesh.n_corners = static_cast<Index>(corners.size());
    mesh.nodes = std::move(corners);
    std::map<std::pair<Index, Index>, Index> middles;
    constexpr int edges[6][2] = {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}};
    for (const auto& tet : tets) {
        TetNodes nodes{tet[0], tet[1], tet[2], tet[3]};
        for (int i = 0; i < 6; ++i) {
            const Index a = tet[edges[i][0]], b = tet[edges[i][1]];
            const auto [at, is_new] =
                middles.try_emplace(std::minmax(a, b), static_cast<Index>(mesh.nodes.size()));
            if (is_new)
                mesh.nodes.push_back(0.5 * (mesh.nodes[a] + mesh.nodes[b]));
            nodes[4 + i] = at->second;
        }
        mesh.tets.push_back(nodes);
    }
    return mesh;
}

/// Prisms of a triangulation between the heights z, each as three tetrahedra whose diagonals start
/// at the lower number below: neighbours agree.
inline TetMesh draw_out(const Triangulation& t, const std::vector<double>& z) {
    const auto n = static_cast<Index>(t.points.size());
    std::vector<Vec3> corners;
    for (const double height : z)
        for (const Eigen::Vector2d& p : t.points)
            corners.emplace_back(p.x(), p.y(), height);
    std::vector<std::array<Index, 4>> tets;
    for (std::size_t layer = 0; layer + 1 < z.size(); ++layer)
        for (auto triangle : t.triangles) {
            std::sort(triangle.begin(), triangle.end());
            const Index base = static_cast<Index>(layer) * n;
            const Index a = base + triangle[0], b = base + triangle[1], c = base + triangle[2];
            for (std::array<Index, 4> tet : {std::array<Index, 4>{a, b, c, c + n},
                                             {a, b, b + n, c + n},
                                             {a, a + n, b + n, c + n}}) {
                const Vec3 &p = corners[tet[0]], &q = corners[tet[1]], &r = corners[tet[2]];
                if ((q - p).cross(r - p).dot(corners[tet[3]] - p) < 0.0)
                    std::swap(tet[0], tet[1]);
                tets.push_back(tet);
            }
        }
    return quadratic(std::move(corners), tets);
}

inline std::vector<double> even_heights(int n, double height) {
    std::vector<double> z;
    for (int i = 0; i <= n; ++i)
        z.push_back(height * i / n);
    return z;
}

/// Corner nodes moved by `map`, edges straight again.
template <class Map>
void move_corners(TetMesh& mesh, Map map) {
    for (Index n = 0; n < mesh.n_corners; ++n)
        mesh.nodes[n] = map(mesh.nodes[n]);
    constexpr int edges[6][2] = {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}};
    for (const TetNodes& tet : mesh.tets)
        for (int i = 0; i < 6; ++i)
            mesh.nodes[tet[4 + i]] =
                0.5 * (mesh.nodes[tet[edges[i][0]]] + mesh.nodes[tet[edges[i][1]]]);
}

/// lx by ly by lz in nx by ny by nz cells of six tetrahedra.
inline TetMesh box_mesh(int nx, int ny, int nz, const Vec3& size) {
    TetMesh mesh = draw_out(unit_square(nx, ny), even_heights(nz, size.z()));
    move_corners(mesh,
                 [&](const Vec3& X) { return Vec3(X.x() * size.x(), X.y() * size.y(), X.z()); });
    mesh.box = size;
    return mesh;
}

/// Round bar of radius r along z; the middles of edges on its side lie on the circle.
inline TetMesh round_bar(const Triangulation& disc, const std::vector<double>& z, double r) {
    TetMesh mesh = draw_out(disc, z);
    move_corners(mesh, [&](const Vec3& X) { return Vec3(X.x() * r, X.y() * r, X.z()); });
    const auto radius = [&](Index n) { return mesh.nodes[n].head<2>().norm(); };
    constexpr int edges[6][2] = {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}};
    for (const TetNodes& tet : mesh.tets)
        for (int i = 0; i < 6; ++i) {
            const Index middle = tet[4 + i];
            if (std::min(radius(tet[edges[i][0]]), radius(tet[edges[i][1]])) > r * (1.0 - 1e-9) &&
                radius(middle) < r * (1.0 - 1e-9))
                mesh.nodes[middle].head<2>() *= r / radius(middle);
        }
    mesh.box = Vec3(2.0 * r, 2.0 * r, z.back());
    return mesh;
}

/// Moves every node by up to `size` in each direction, edge middles too: curved elements.
inline void shake(std::vector<Vec3>& nodes, double size, unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> part(-size, size);
    for (Vec3& X : nodes) {
        const double x = part(random), y = part(random), z = part(random);
        X += Vec3(x, y, z);
    }
}

} // namespace cellgrade::test
