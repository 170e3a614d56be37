// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/curve_forms.hpp"
#include "solver/homogenize/grade_block.hpp"
#include "solver/report/curve_plot.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// All that `cellgrade law` found out.
struct LawReport {
    std::string grade; ///< label of the fitted row
    GradeTest test;    ///< that was fitted
    GradeLaw law;
    std::vector<CurveForm> forms;    ///< closed forms of the same curve, for hand calculation
    std::optional<BlockProof> proof; ///< of a block that was crushed
    std::vector<BlockProof> sheared; ///< of blocks that were sheared, one a sheared test
};

/// For people: errors by branch, closed forms, notes and the caution.
[[nodiscard]] std::string law_report_text(const LawReport& report);
/// Schema "cellgrade/grade-law", one document.
[[nodiscard]] std::string law_report_json(const LawReport& report);
/// The crush, the law and the block in one panel.
[[nodiscard]] CurvePlot law_plot(const LawReport& report);

} // namespace cellgrade
