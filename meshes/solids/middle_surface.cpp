// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/middle_surface.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace cellgrade {
namespace {

constexpr float opposite = -0.5f; ///< cosine of the least angle between the two directions

/// Half of the 26 neighbours.
constexpr std::array<std::array<int, 3>, 13> forward = {{{1, 0, 0},
                                                         {0, 1, 0},
                                                         {0, 0, 1},
                                                         {1, 1, 0},
                                                         {1, -1, 0},
                                                         {1, 0, 1},
                                                         {1, 0, -1},
                                                         {0, 1, 1},
                                                         {0, 1, -1},
                                                         {1, 1, 1},
                                                         {1, 1, -1},
                                                         {1, -1, 1},
                                                         {1, -1, -1}}};

/// Boxes of a ball that nothing wider holds yet get its width.
class Painter {
public:
    explicit Painter(const SurfaceDistance& grid) : grid_(grid), owner_(grid.is_solid.size(), -1) {}

    void paint(const MiddlePair& ball, int number, std::uint8_t phase) {
        const double reach = 0.5 * ball.width + 0.5 * grid_.spacing.maxCoeff();
        Vec3i first;
        Vec3i last;
        for (int a = 0; a < 3; ++a) {
            first[a] =
                static_cast<int>(std::ceil((ball.centre[a] - reach) / grid_.spacing[a] - 0.5));
            last[a] =
                static_cast<int>(std::floor((ball.centre[a] + reach) / grid_.spacing[a] - 0.5));
        }
        for (int k = first.z(); k <= last.z(); ++k)
            for (int j = first.y(); j <= last.y(); ++j)
                for (int i = first.x(); i <= last.x(); ++i) {
                    const Vec3 x = grid_.spacing.cwiseProduct(Vec3(i, j, k) + Vec3::Constant(0.5));
                    if ((x - ball.centre).squaredNorm() > reach * reach)
                        continue;
                    const std::int64_t box = home_box(Vec3i(i, j, k));
                    if (box >= 0 && owner_[box] < 0 && grid_.is_solid[box] == phase)
                        owner_[box] = number;
                }
    }
    const std::vector<int>& owners() const { return owner_; }

private:
    std::int64_t home_box(Vec3i at) const {
        for (int a = 0; a < 3; ++a) {
            if (grid_.periodic[a])
                at[a] = (at[a] % grid_.counts[a] + grid_.counts[a]) % grid_.counts[a];
            else if (at[a] < 0 || at[a] >= grid_.counts[a])
                return -1;
        }
        return (std::int64_t{at.z()} * grid_.counts.y() + at.y()) * grid_.counts.x() + at.x();
    }

    const SurfaceDistance& grid_;
    std::vector<int> owner_; ///< number of the widest ball; -1 none
};

} // namespace

std::vector<MiddlePair> middle_pairs(const SurfaceDistance& grid, Phase phase) {
    const std::uint8_t wanted = phase == Phase::Solid ? 1 : 0;
    std::vector<MiddlePair> pairs;
    for (std::size_t box = 0; box < grid.is_solid.size(); ++box) {
        if (grid.is_solid[box] != wanted)
            continue;
        const Vec3i at = grid.place(box);
        const Eigen::Vector3f to = grid.to_surface[box];
        const Eigen::Vector3f u = to.normalized();
        for (const auto& [x, y, z] : forward) {
            const Vec3i step(x, y, z);
            Vec3i turn;
            const std::int64_t other = neighbour_box(grid, at, step, turn);
            if (other < 0 || grid.is_solid[other] != wanted)
                continue;
            const Eigen::Vector3f u_other = grid.to_surface[other].normalized();
            if (u.dot(u_other) > opposite)
                continue;
            const Vec3 move = grid.spacing.cwiseProduct(step.cast<double>());
            const Eigen::Vector3f across = grid.to_surface[other] + move.cast<float>() - to;
            const Eigen::Vector3f apart = u_other - u;
            const double width = 2.0f * across.dot(apart) / apart.squaredNorm();
            if (width > 0.0)
                pairs.push_back({static_cast<Index>(box), static_cast<Index>(other),
                                 grid.middle(box) + (to + 0.5f * across).cast<double>(), width});
        }
    }
    return pairs;
}

std::vector<double> ridge_radii(const SurfaceDistance& grid, const std::vector<MiddlePair>& pairs) {
    std::vector<double> radii(grid.is_solid.size());
    for (std::size_t b = 0; b < radii.size(); ++b)
        radii[b] = grid.to_surface[b].cast<double>().norm();
    for (const MiddlePair& p : pairs)
        for (const Index b : {p.box, p.other})
            radii[b] = std::max(radii[b], 0.5 * p.width);
    return radii;
}

std::vector<NarrowPlace> local_thickness(const SurfaceDistance& grid,
                                         std::vector<MiddlePair> pairs) {
    // one ball a box is enough: the widest
    std::stable_sort(pairs.begin(), pairs.end(), [](const MiddlePair& a, const MiddlePair& b) {
        return a.box != b.box ? a.box < b.box : a.width > b.width;
    });
    pairs.erase(
        std::unique(pairs.begin(), pairs.end(),
                    [](const MiddlePair& a, const MiddlePair& b) { return a.box == b.box; }),
        pairs.end());
    std::stable_sort(pairs.begin(), pairs.end(),
                     [](const MiddlePair& a, const MiddlePair& b) { return a.width > b.width; });
    Painter painter(grid);
    for (std::size_t k = 0; k < pairs.size(); ++k)
        painter.paint(pairs[k], static_cast<int>(k), grid.is_solid[pairs[k].box]);
    std::vector<std::int64_t> held(pairs.size(), 0);
    for (const int owner : painter.owners())
        if (owner >= 0)
            ++held[owner];
    std::vector<NarrowPlace> places;
    for (std::size_t k = pairs.size(); k-- > 0;)
        places.insert(places.end(), static_cast<std::size_t>(held[k]),
                      {pairs[k].width, pairs[k].centre});
    return places;
}

} // namespace cellgrade
