// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_stable_step.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

/// Largest squared frequency of one element whose EA and EI are `stiffening` times those at rest.
double omega_squared(const BeamGroup& group, int lane, const EndInertia& end, double stiffening) {
    const double h = group.h[lane];
    return std::max({stiffening * 2.0 * group.EA[lane] / (h * end.mass),
                     group.kGA[lane] * (2.0 / (h * end.mass) + 0.5 * h / end.bend),
                     stiffening * 2.0 * group.EI[lane] / (h * end.bend),
                     2.0 * group.GJ[lane] / (h * end.axial)});
}

/// d stress / d stretch of the table [Pa].
double slope(const FibreTable& table, double stretch) {
    const double y = std::clamp(stretch * table.per_step + table.shift, table.first, table.last);
    const double cell = std::min(std::floor(y), static_cast<double>(table.cells.size() - 1));
    const FibreTable::Cubic& c = table.cells[static_cast<std::size_t>(cell)];
    const double t = y - cell;
    return table.per_step * (c.c1 + t * (2.0 * c.c2 + t * 3.0 * c.c3));
}

double stiffening(const FibreTable& table, const FibreGroup& group, int lane) {
    const double middle = 1.0 + group.Gamma[0][lane];
    const double reach =
        group.radius[lane] * std::hypot(group.kappa[1][lane], group.kappa[2][lane]);
    double largest = table.youngs;
    for (const double x : {-1.0, -0.5, 0.0, 0.5, 1.0})
        largest = std::max(largest, slope(table, middle + x * reach));
    return largest / table.youngs;
}

} // namespace

double beam_stable_omega(const BeamBlock& block, const LumpedMass& mass) {
    CELLGRADE_ASSERT(static_cast<Index>(mass.end.size()) == block.n_elements);
    double largest = 0.0;
    for (Index e = 0; e < block.n_elements; ++e)
        largest = std::max(largest, omega_squared(block.groups[e / group_lanes], e % group_lanes,
                                                  mass.end[e], 1.0));
    return std::sqrt(largest);
}

double beam_stable_omega(const FibreBlock& block, const LumpedMass& mass) {
    CELLGRADE_ASSERT(static_cast<Index>(mass.end.size()) == block.beams.n_elements);
    double largest = 0.0;
    for (Index e = 0; e < block.beams.n_elements; ++e) {
        const Index g = e / group_lanes;
        const int lane = e % group_lanes;
        largest = std::max(largest, omega_squared(block.beams.groups[g], lane, mass.end[e],
                                                  stiffening(block.table, block.groups[g], lane)));
    }
    return std::sqrt(largest);
}

} // namespace cellgrade
