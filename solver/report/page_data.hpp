// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/line_panel.hpp"
#include "solver/report/packed_shapes.hpp"
#include "solver/report/report_content.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// What the scripts of the page draw, gathered while its sections are written.
struct PageData {
    std::vector<std::vector<LinePanel>> charts; ///< figure k of the page
    std::vector<PackedShapes> scenes;           ///< in the order of the content's shapes
};

/// A picture of panels side by side that a script can replace; empty when there is nothing to draw.
[[nodiscard]] std::string chart_figure(PageData& data,
                                       const std::string& id,
                                       const std::string& title,
                                       const std::vector<LinePanel>& panels);

/// The data as JSON: tables with all numbers of their files to the last bit, knots of the explorer
/// and charts to seven figures.
[[nodiscard]] std::string page_json(const ReportContent& content, const PageData& data);

} // namespace cellgrade
