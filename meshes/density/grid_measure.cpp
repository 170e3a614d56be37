// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/grid_measure.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace cellgrade {
namespace {

struct Share {
    double below; ///< of the tetrahedron
    double slope; ///< d below / d level
};

/// @param f corner values, ascending
Share share_below(const std::array<double, 4>& f, double t) {
    if (t <= f[0])
        return {0.0, 0.0};
    if (t >= f[3])
        return {1.0, 0.0};
    if (t < f[1]) {
        const double c = (f[1] - f[0]) * (f[2] - f[0]) * (f[3] - f[0]);
        const double s = t - f[0];
        return {s * s * s / c, 3.0 * s * s / c};
    }
    if (t >= f[2]) {
        const double c = (f[3] - f[0]) * (f[3] - f[1]) * (f[3] - f[2]);
        const double s = f[3] - t;
        return {1.0 - s * s * s / c, 3.0 * s * s / c};
    }
    const double f10 = f[1] - f[0];
    const double s = t - f[1];
    const double c = (f[2] - f[0]) * (f[3] - f[0]);
    const double q = (f[2] - f[0] + f[3] - f[1]) / ((f[2] - f[1]) * (f[3] - f[1]));
    return {(f10 * f10 + 3.0 * f10 * s + 3.0 * s * s - q * s * s * s) / c,
            (3.0 * f10 + 6.0 * s - 3.0 * q * s * s) / c};
}

/// Orders in which a path from the low to the high corner takes the axes.
constexpr std::array<std::array<int, 3>, 6> paths = {
    {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}};

/// Adds the six tetrahedra of one box; corner bits 1, 2, 4 are x, y, z.
void add_box(const std::array<double, 8>& f, const Vec3& h, double level, BelowLevel& sum) {
    for (const auto& path : paths) {
        std::array<double, 4> at{f[0], 0.0, 0.0, f[7]};
        Vec3 gradient;
        int corner = 0;
        for (int k = 0; k < 3; ++k) {
            corner |= 1 << path[k];
            at[k + 1] = f[corner];
            gradient[path[k]] = (at[k + 1] - at[k]) / h[path[k]];
        }
        std::sort(at.begin(), at.end());
        const Share share = share_below(at, level);
        sum.volume += share.below / 6.0;
        sum.slope += share.slope / 6.0;
        sum.area += share.slope / 6.0 * gradient.norm();
    }
}

} // namespace

std::vector<double>
sample_field(const PointField& field, const SampleGrid& grid, const Vec3& frame) {
    const Vec3i n = grid.counts + Vec3i::Ones();
    const std::size_t plane = static_cast<std::size_t>(n.x()) * n.y();
    std::vector<double> values(grid.n_nodes());
    std::vector<Vec3> points(plane);
    for (int k = 0; k < n.z(); ++k) {
        for (int j = 0; j < n.y(); ++j)
            for (int i = 0; i < n.x(); ++i)
                points[static_cast<std::size_t>(j) * n.x() + i] =
                    frame.cwiseProduct(Vec3(i, j, k).cwiseQuotient(grid.counts.cast<double>()));
        field(points, std::span(values).subspan(plane * k, plane));
    }
    return values;
}

std::vector<double>
every_other_node(std::span<const double> values, const SampleGrid& grid, SampleGrid& coarse) {
    Vec3i step;
    coarse = grid;
    for (int a = 0; a < 3; ++a) {
        CELLGRADE_ASSERT(grid.counts[a] == 1 || grid.counts[a] % 2 == 0);
        step[a] = grid.counts[a] == 1 ? 1 : 2;
        coarse.counts[a] /= step[a];
    }
    const Vec3i n = grid.counts + Vec3i::Ones();
    std::vector<double> kept;
    kept.reserve(coarse.n_nodes());
    for (int k = 0; k < n.z(); k += step.z())
        for (int j = 0; j < n.y(); j += step.y())
            for (int i = 0; i < n.x(); i += step.x())
                kept.push_back(values[(static_cast<std::size_t>(k) * n.y() + j) * n.x() + i]);
    return kept;
}

BelowLevel measure_below(std::span<const double> values, const SampleGrid& grid, double level) {
    CELLGRADE_ASSERT(values.size() == grid.n_nodes());
    const Vec3 h = grid.size.cwiseQuotient(grid.counts.cast<double>());
    const std::size_t row = grid.counts.x() + 1;
    const std::size_t plane = row * (grid.counts.y() + 1);
    BelowLevel total;
    for (int k = 0; k < grid.counts.z(); ++k) {
        BelowLevel layer; // in units of one box; summed by layers to keep rounding small
        for (int j = 0; j < grid.counts.y(); ++j) {
            const double* at = values.data() + plane * k + row * j;
            for (int i = 0; i < grid.counts.x(); ++i, ++at) {
                const std::array<double, 8> f = {
                    at[0],     at[1],         at[row],         at[row + 1],
                    at[plane], at[plane + 1], at[plane + row], at[plane + row + 1]};
                double least = f[0];
                double most = f[0];
                for (const double v : f) {
                    least = std::min(least, v);
                    most = std::max(most, v);
                }
                if (most <= level)
                    layer.volume += 1.0;
                else if (least < level)
                    add_box(f, h, level, layer);
            }
        }
        total.volume += layer.volume;
        total.slope += layer.slope;
        total.area += layer.area;
    }
    const double box = h.prod();
    return {total.volume * box, total.slope * box, total.area * box};
}

} // namespace cellgrade
