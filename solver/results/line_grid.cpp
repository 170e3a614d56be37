// SPDX-License-Identifier: Apache-2.0
#include "solver/results/line_grid.hpp"

#include "solver/core/error.hpp"

#include <array>
#include <map>

namespace cellgrade {

namespace {

/// Point on which a beam ends: its node, or a ghost made at the first beam that needs it.
class EndPoints {
public:
    EndPoints(const BeamMesh& mesh, LineGrid& grid) : mesh_(mesh), grid_(grid) {}

    std::int64_t of(const BeamElement& e) {
        if (e.image_b.isZero())
            return e.b;
        const std::array<int, 4> key{e.b, e.image_b.x(), e.image_b.y(), e.image_b.z()};
        const auto [found, is_new] =
            known_.try_emplace(key, static_cast<std::int64_t>(grid_.n_points()));
        if (is_new)
            grid_.ghosts.push_back({e.b, e.image_b.cast<double>().cwiseProduct(mesh_.box)});
        return found->second;
    }

private:
    const BeamMesh& mesh_;
    LineGrid& grid_;
    std::map<std::array<int, 4>, std::int64_t> known_;
};

} // namespace

LineGrid line_grid(const BeamMesh& mesh) {
    LineGrid grid{.n_nodes = mesh.nodes.size()};
    EndPoints ends(mesh, grid);
    const auto n = static_cast<Index>(mesh.nodes.size());
    for (const BeamElement& e : mesh.elements) {
        CELLGRADE_CHECK(e.a >= 0 && e.a < n && e.b >= 0 && e.b < n,
                        "a beam joins nodes {} and {} of {}", e.a, e.b, n);
        grid.connectivity.push_back(e.a);
        grid.connectivity.push_back(ends.of(e));
    }
    // A ghost has the radius of its node, so that the picture continues over the periodic face.
    std::vector<double> sum(grid.n_nodes, 0.0), count(grid.n_nodes, 0.0);
    for (const BeamElement& e : mesh.elements)
        for (const Index node : {e.a, e.b}) {
            sum[static_cast<std::size_t>(node)] += e.radius;
            count[static_cast<std::size_t>(node)] += 1.0;
        }
    for (std::size_t i = 0; i < grid.n_nodes; ++i)
        grid.radius_m.push_back(count[i] > 0.0 ? static_cast<float>(sum[i] / count[i]) : 0.0F);
    for (const LineGrid::Ghost& ghost : grid.ghosts)
        grid.radius_m.push_back(grid.radius_m[static_cast<std::size_t>(ghost.node)]);
    return grid;
}

void append_points(const LineGrid& grid, std::span<const Vec3> positions, std::vector<float>& out) {
    CELLGRADE_CHECK(positions.size() == grid.n_nodes, "a frame has {} positions for {} nodes",
                    positions.size(), grid.n_nodes);
    append_points(positions, out);
    std::vector<Vec3> ghosts;
    for (const LineGrid::Ghost& ghost : grid.ghosts)
        ghosts.emplace_back(positions[static_cast<std::size_t>(ghost.node)] + ghost.shift);
    append_points(ghosts, out);
}

void append_points(std::span<const Vec3> positions, std::vector<float>& out) {
    for (const Vec3& x : positions)
        for (const double component : x)
            out.push_back(static_cast<float>(component));
}

} // namespace cellgrade
