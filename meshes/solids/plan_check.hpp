// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/tiled_solid.hpp"

#include <string>

namespace cellgrade {

/// Checks what both kinds of cells have in common. @param own whether the cell sets its own amount
void check_plan(const SolidPlan& plan, const std::string& name, bool own);

/// Densities of the plan, one a layer; empty when the plan gives none.
[[nodiscard]] std::vector<double> layer_targets(const SolidPlan& plan);

/// A coordinate of 0 .. box brought back by whole boxes along a periodic axis; the far face becomes
/// 0 exactly.
[[nodiscard]] double wrapped(double x, double box) noexcept;

} // namespace cellgrade
