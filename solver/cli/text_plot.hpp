// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

/// One line of a text plot; points that are not finite are left out.
struct TextLine {
    std::string label;
    std::vector<double> x, y;
};

/// Lines over linear axes from 0 up as plain characters, a mark a line (its key below), for a
/// terminal or a log: `width` characters wide in all, about a quarter as high. Straight pieces
/// between the points; a later line stands over an earlier one. Empty text where there is nothing
/// above 0 to draw.
[[nodiscard]] std::string text_plot(const std::vector<TextLine>& lines,
                                    const std::string& x_name,
                                    const std::string& y_name,
                                    int width = 72);

} // namespace cellgrade
