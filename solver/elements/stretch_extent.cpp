// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/stretch_extent.hpp"

#include "solver/elements/tet_lanes.hpp"
#include "solver/elements/tet_point.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>

namespace cellgrade {
namespace {

/// Puts elements together.
struct Sum {
    StretchExtent extent;
    double outside = 0.0, all = 0.0; // [m^3]

    void add(double least, double largest, double volume, const StretchLimits& limits) {
        extent.least = std::min(extent.least, least);
        extent.largest = std::max(extent.largest, largest);
        all += volume;
        if (least < limits.min || largest > limits.max)
            outside += volume;
    }
    [[nodiscard]] StretchExtent result() const {
        StretchExtent whole = extent;
        whole.share_outside = all > 0.0 ? outside / all : 0.0;
        return whole;
    }
};

} // namespace

StretchExtent stretch_extent(const FibreBlock& block, const StretchLimits& limits) {
    Sum sum;
    for (Index e = 0; e < block.beams.n_elements; ++e) {
        const FibreGroup& group = block.groups[e / group_lanes];
        const int lane = e % group_lanes;
        const double r = group.radius[lane], middle = 1.0 + group.Gamma[0][lane];
        const double bend = r * std::hypot(group.kappa[1][lane], group.kappa[2][lane]);
        const double volume = M_PI * r * r * block.beams.groups[e / group_lanes].h[lane];
        sum.add(middle - bend, middle + bend, volume, limits);
    }
    return sum.result();
}

StretchExtent
stretch_extent(const TetBlock& block, std::span<const NodePoint> x, const StretchLimits& limits) {
    Sum sum;
    for (Index e = 0; e < block.n_elements; ++e) {
        const TetGroup& group = block.groups[e / group_lanes];
        const int lane = e % group_lanes;
        const lane::TetNodeVectors<double> nodes = load_nodes<double>(group, lane, x.data());
        const lane::Columns<double> shared = lane::shared_slopes(nodes);
        double least = 1.0, largest = 1.0;
        for (int q = 0; q < 4; ++q) {
            const lane::Columns<double> F = lane::gradient(lane::slopes_at(nodes, shared, q),
                                                           load_inverse<double>(group, lane, q));
            Eigen::SelfAdjointEigenSolver<Mat3> solver;
            const Vec3 squared = solver
                                     .computeDirect(lane::matrix_of(lane::right_cauchy_green(F)),
                                                    Eigen::EigenvaluesOnly)
                                     .eigenvalues();
            least = std::min(least, std::sqrt(std::max(0.0, squared[0])));
            largest = std::max(largest, std::sqrt(std::max(0.0, squared[2])));
        }
        sum.add(least, largest, tet_volume(group, lane), limits);
    }
    return sum.result();
}

} // namespace cellgrade
