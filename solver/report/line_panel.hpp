// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/svg.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One line of a panel; points that are not finite are left out.
struct PanelLine {
    std::string label; ///< in the key
    std::vector<double> x, y;
    bool doubtful = false; ///< dashed and pale: not to be used as a result
};

/// A level across a panel, as a limit.
struct PanelLevel {
    std::string label;
    double y = 0.0;
};

/// Lines over a plain linear axis, both from 0 up.
struct LinePanel {
    std::string name;           ///< over the panel
    std::string x_name, y_name; ///< of the axes, with unit
    std::vector<PanelLine> lines;
    std::vector<PanelLevel> levels;

    /// Whether there is a point above 0 to draw.
    [[nodiscard]] bool empty() const;
};

/// Values over a unit, every so many and always the last: about a thousand, a screen shows no
/// more.
[[nodiscard]] std::vector<double> thinned(const std::vector<double>& values, double unit);

/// Draws axes, levels and lines into a rectangle; ticks and axis names stand to its left and below.
/// A level far above all lines is left out rather than flattening them; its label says so at the
/// top. The panel must not be empty().
void draw_line_panel(Svg& svg, Pixel corner, Pixel size, const LinePanel& panel);

/// The key of a panel's lines, one under the other. @return its height [px]
double draw_line_key(Svg& svg, Pixel at, const std::vector<PanelLine>& lines);

/// Panels side by side with a title, one key for all (that of the first) and the caution at the
/// foot; same input, same bytes.
/// @throws Error (Input) without a panel that can be drawn
[[nodiscard]] std::string line_panels_svg(const std::string& title,
                                          const std::string& subtitle,
                                          const std::vector<LinePanel>& panels);

} // namespace cellgrade
