// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/surface_distance.hpp"

#include "solver/core/error.hpp"

#include <array>
#include <cmath>

namespace cellgrade {
namespace {

constexpr double most_boxes = 16e6;
constexpr float far_away = 1e15f; // its square is finite

std::vector<float> sample_middles(const ImplicitSolid& solid, const SurfaceDistance& grid) {
    const Vec3i n = grid.counts;
    const std::size_t plane = static_cast<std::size_t>(n.x()) * n.y();
    std::vector<float> f;
    f.reserve(plane * n.z());
    std::vector<Vec3> points(plane);
    std::vector<double> values(plane);
    for (int k = 0; k < n.z(); ++k) {
        for (std::size_t i = 0; i < plane; ++i)
            points[i] = grid.middle(plane * k + i);
        solid.field(points, values);
        for (std::size_t i = 0; i < plane; ++i) {
            CELLGRADE_CHECK(std::isfinite(values[i]),
                            "the solid has the value {} at ({:.4g}, {:.4g}, {:.4g}) mm", values[i],
                            1e3 * points[i].x(), 1e3 * points[i].y(), 1e3 * points[i].z());
            f.push_back(static_cast<float>(values[i]));
        }
    }
    return f;
}

void keep_nearer(Eigen::Vector3f& now, const Eigen::Vector3f& other) {
    if (other.squaredNorm() < now.squaredNorm())
        now = other;
}

/// Both ends of every line that passes the surface learn of the point.
void seed(const std::vector<float>& f, SurfaceDistance& grid) {
    const Eigen::Vector3f h = grid.spacing.cast<float>();
    for (std::size_t box = 0; box < f.size(); ++box) {
        const Vec3i at = grid.place(box);
        for (int a = 0; a < 3; ++a) {
            Vec3i turn;
            const std::int64_t other = neighbour_box(grid, at, Vec3i::Unit(a), turn);
            if (other < 0 || grid.is_solid[box] == grid.is_solid[other])
                continue;
            const float t = f[box] / (f[box] - f[other]);
            keep_nearer(grid.to_surface[box], t * h[a] * Eigen::Vector3f::Unit(a));
            keep_nearer(grid.to_surface[other], (t - 1.0f) * h[a] * Eigen::Vector3f::Unit(a));
        }
    }
}

/// One pass along a diagonal: every box hears of the seven behind it.
class Sweep {
public:
    Sweep(SurfaceDistance& grid, const Vec3i& along) : grid_(grid), along_(along) {
        const std::array<std::int64_t, 3> stride = {
            1, grid.counts.x(), std::int64_t{grid.counts.x()} * grid.counts.y()};
        for (int mask = 1; mask < 8; ++mask) {
            Behind& b = behind_[mask - 1];
            for (int a = 0; a < 3; ++a)
                b.step[a] = -(mask >> a & 1) * along[a];
            b.offset = b.step[0] * stride[0] + b.step[1] * stride[1] + b.step[2] * stride[2];
            b.move = grid.spacing.cwiseProduct(b.step.cast<double>()).cast<float>();
        }
    }

    void run() {
        const Vec3i n = grid_.counts;
        const auto place = [&](int a, int i) { return along_[a] > 0 ? i : n[a] - 1 - i; };
        for (int k = 0; k < n.z(); ++k)
            for (int j = 0; j < n.y(); ++j)
                for (int i = 0; i < n.x(); ++i) {
                    const Vec3i at(place(0, i), place(1, j), place(2, k));
                    if (i > 0 && j > 0 && k > 0)
                        inside(at);
                    else
                        at_edge(at);
                }
    }

private:
    struct Behind {
        Vec3i step;
        std::int64_t offset = 0;
        Eigen::Vector3f move; ///< [m]
    };

    std::int64_t number(const Vec3i& at) const {
        return (std::int64_t{at.z()} * grid_.counts.y() + at.y()) * grid_.counts.x() + at.x();
    }
    void inside(const Vec3i& at) {
        const std::int64_t box = number(at);
        for (const Behind& b : behind_)
            keep_nearer(grid_.to_surface[box], grid_.to_surface[box + b.offset] + b.move);
    }
    void at_edge(const Vec3i& at) {
        const std::int64_t box = number(at);
        for (const Behind& b : behind_) {
            Vec3i turn;
            const std::int64_t other = neighbour_box(grid_, at, b.step, turn);
            if (other >= 0)
                keep_nearer(grid_.to_surface[box], grid_.to_surface[other] + b.move);
        }
    }

    SurfaceDistance& grid_;
    Vec3i along_;
    std::array<Behind, 7> behind_;
};

} // namespace

Vec3i SurfaceDistance::place(std::size_t box) const {
    const auto b = static_cast<Index>(box);
    return {b % counts.x(), b / counts.x() % counts.y(), b / (counts.x() * counts.y())};
}

Vec3 SurfaceDistance::middle(std::size_t box) const {
    return spacing.cwiseProduct(place(box).cast<double>() + Vec3::Constant(0.5));
}

std::int64_t
neighbour_box(const SurfaceDistance& grid, const Vec3i& at, const Vec3i& step, Vec3i& turn) {
    Vec3i to = at + step;
    turn.setZero();
    for (int a = 0; a < 3; ++a) {
        if (to[a] >= 0 && to[a] < grid.counts[a])
            continue;
        if (!grid.periodic[a])
            return -1;
        turn[a] = to[a] < 0 ? -1 : 1;
        to[a] -= turn[a] * grid.counts[a];
    }
    return (std::int64_t{to.z()} * grid.counts.y() + to.y()) * grid.counts.x() + to.x();
}

SurfaceDistance surface_distance(const ImplicitSolid& solid, double spacing) {
    CELLGRADE_CHECK(std::isfinite(spacing) && spacing > 0.0,
                    "spacing {} m is not allowed; a number above 0 is needed", spacing);
    SurfaceDistance grid{.periodic = solid.periodic};
    const Vec3 wanted = (solid.box / spacing).array().ceil().max(2.0);
    CELLGRADE_CHECK(
        wanted.prod() <= most_boxes,
        "spacing {:.4g} mm cuts the specimen into {:.3g} small boxes, more than {:.3g}; "
        "check fewer cells or take a wider spacing",
        1e3 * spacing, wanted.prod(), most_boxes);
    grid.counts = wanted.cast<int>();
    grid.spacing = solid.box.cwiseQuotient(wanted);
    const auto n = static_cast<std::size_t>(wanted.prod());
    grid.to_surface.assign(n, Eigen::Vector3f::Constant(far_away));
    {
        grid.is_solid.reserve(n);
        const std::vector<float> f = sample_middles(solid, grid);
        for (const float value : f)
            grid.is_solid.push_back(value < 0.0f);
        seed(f, grid);
    }
    const bool any_periodic = grid.periodic[0] || grid.periodic[1] || grid.periodic[2];
    for (int round = 0; round < (any_periodic ? 2 : 1); ++round) // again across periodic faces
        for (int mask = 0; mask < 8; ++mask)
            Sweep(grid, Vec3i(mask & 1 ? -1 : 1, mask & 2 ? -1 : 1, mask & 4 ? -1 : 1)).run();
    return grid;
}

} // namespace cellgrade
