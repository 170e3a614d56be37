// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/cushion_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Peak acceleration over static stress, a line a curve, as SVG text. Each ends where its pad
/// bottoms. @throws as line_panels_svg()
[[nodiscard]] std::string cushion_plot_svg(const std::string& title,
                                           const std::string& subtitle,
                                           const std::vector<GradeCushion>& curves);

} // namespace cellgrade
