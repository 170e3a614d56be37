// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/page_data.hpp"
#include "solver/report/report_content.hpp"

#include <string>

namespace cellgrade {

// Sections of the report page as HTML, in its order; empty where the content has nothing for one.
// All numbers that a reader may use stand in them; scripts only add to them.

/// What a reader must know before anything else.
[[nodiscard]] std::string cautions_section(const ReportContent& content);
/// What the results say, in plain words.
[[nodiscard]] std::string summary_section(const ReportContent& content);
/// How many results can be trusted, and which guards were missed, and why.
[[nodiscard]] std::string trust_section(const ReportContent& content);
/// Choice per zone: the grade, its bound, those that lost, what would help, one design for each.
[[nodiscard]] std::string zones_section(const ReportContent& content);
/// A place for the explorer.
[[nodiscard]] std::string explorer_section(const ReportContent& content);
/// Stress over strain.
[[nodiscard]] std::string curves_section(const ReportContent& content);
/// Traits over relative density, and as a table.
[[nodiscard]] std::string grades_section(const ReportContent& content);
/// Each crush: traits, curve, shapes, energy.
[[nodiscard]] std::string crushes_section(const ReportContent& content, PageData& data);
/// Each drop: traits, acceleration, force, shapes, energy.
[[nodiscard]] std::string drops_section(const ReportContent& content, PageData& data);
/// Shapes that belong to no crush or drop of the report.
[[nodiscard]] std::string other_shapes_section(const ReportContent& content, PageData& data);
/// Where every number comes from.
[[nodiscard]] std::string provenance_section(const ReportContent& content);

} // namespace cellgrade
