// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_stable_step.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

double beam_stable_omega(const BeamBlock& block, const LumpedMass& mass) {
    CELLGRADE_ASSERT(static_cast<Index>(mass.end.size()) == block.n_elements);
    double omega2 = 0.0;
    for (Index e = 0; e < block.n_elements; ++e) {
        const BeamGroup& group = block.groups[e / group_lanes];
        const int lane = e % group_lanes;
        const EndInertia& end = mass.end[e];
        const double h = group.h[lane];
        omega2 = std::max({omega2, 2.0 * group.EA[lane] / (h * end.mass),
                           group.kGA[lane] * (2.0 / (h * end.mass) + 0.5 * h / end.bend),
                           2.0 * group.EI[lane] / (h * end.bend),
                           2.0 * group.GJ[lane] / (h * end.axial)});
    }
    return std::sqrt(omega2);
}

} // namespace cellgrade
