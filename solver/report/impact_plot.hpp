// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/impact_answer.hpp"
#include "solver/choice/impact_case.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// A blow and what it does at each of its temperatures.
struct AnsweredImpact {
    ImpactCase impact;
    std::vector<ImpactAnswer> answers;
};

/// "crown, -10 C, hit 2": what tells a hit from the others.
[[nodiscard]] std::string
hit_label(const AnsweredImpact& blow, const ImpactAnswer& answer, std::size_t hit);

/// Force over depth and acceleration over time of every hit, as SVG text; limits of the first blow
/// as levels. Bottomed hits are dashed. @throws as line_panels_svg()
[[nodiscard]] std::string impact_plot_svg(const std::string& title,
                                          const std::string& subtitle,
                                          const std::vector<AnsweredImpact>& blows);

} // namespace cellgrade
