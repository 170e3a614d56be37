// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/impact_plot.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// All that `cellgrade impact` found out.
struct ImpactReport {
    std::string cell, polymer;
    GradePad pad;
    std::vector<AnsweredImpact> blows;
    std::vector<std::string> left_out; ///< rows of the table, each with its reason
    std::string note;                  ///< of GradeCurves
};

/// "octet, medium, relative density 0.12; pad 25 mm thick, 10000 mm2".
[[nodiscard]] std::string pad_text(const ImpactReport& report);

/// For people: a block an impact and temperature, with intervals, limits, notes and the caution.
[[nodiscard]] std::string impact_report_text(const ImpactReport& report);
/// Schema "cellgrade/impact" 1.0, one document.
[[nodiscard]] std::string impact_report_json(const ImpactReport& report);

/// Headforms and rules with their sources.
[[nodiscard]] std::string presets_text();
/// Schema "cellgrade/impact-presets" 1.0.
[[nodiscard]] std::string presets_json();

} // namespace cellgrade
