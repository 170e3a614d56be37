// SPDX-License-Identifier: Apache-2.0
#include "meshes/solids/plan_check.hpp"

#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {

void check_plan(const SolidPlan& plan, const std::string& name, bool own) {
    for (const Index n : plan.tiles)
        CELLGRADE_CHECK(n >= 1 && n <= 1000, "{} cells along an axis is not allowed; 1 to 1000 is",
                        n);
    CELLGRADE_CHECK(!plan.amount || plan.densities.empty(),
                    "an offset or diameter and relative densities are both given; only one is "
                    "allowed");
    CELLGRADE_CHECK(plan.amount || !plan.densities.empty() || own,
                    "cell '{}' sets no offset or diameter of its own; give one, or a relative "
                    "density",
                    name);
    const auto n_layers = static_cast<std::size_t>(plan.tiles[2]);
    CELLGRADE_CHECK(plan.densities.size() <= 1 || plan.densities.size() == n_layers,
                    "{} relative densities are given for {} layers of cells; give 1 or {}",
                    plan.densities.size(), n_layers, n_layers);
}

std::vector<double> layer_targets(const SolidPlan& plan) {
    if (plan.densities.size() == 1)
        return std::vector<double>(static_cast<std::size_t>(plan.tiles[2]), plan.densities[0]);
    return plan.densities;
}

double wrapped(double x, double box) noexcept {
    const double home = x - box * std::floor(x / box);
    return home < box ? home : 0.0;
}

} // namespace cellgrade
