// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/row_forces.hpp"

#include <algorithm>
#include <cstddef>

namespace cellgrade {

namespace {

void centre_leg(std::span<const double> means, std::span<double> forces) {
    for (std::size_t i = 0; i + 1 < means.size(); ++i)
        forces[i] = 0.5 * (means[i] + means[i + 1]);
    if (means.size() > 1)
        forces.back() = means.back() + 0.5 * (means.back() - means[means.size() - 2]);
    else if (!means.empty())
        forces.back() = means.back();
}

} // namespace

std::vector<double> forces_at_rows(std::span<const double> means, Index turn) {
    std::vector<double> forces(means.size());
    const std::size_t loading = std::min(static_cast<std::size_t>(turn), means.size());
    centre_leg(means.first(loading), std::span(forces).first(loading));
    centre_leg(means.subspan(loading), std::span(forces).subspan(loading));
    return forces;
}

} // namespace cellgrade
