// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/text_plot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

namespace cellgrade {

namespace {

constexpr std::string_view marks = "*+ox#%";
constexpr int margin = 10; // of the numbers at the left

struct Largest {
    double x = 0.0, y = 0.0;
};

Largest largest_of(const std::vector<TextLine>& lines) {
    Largest largest;
    for (const TextLine& line : lines)
        for (std::size_t i = 0; i < line.x.size(); ++i)
            if (std::isfinite(line.x[i]) && std::isfinite(line.y[i])) {
                largest.x = std::max(largest.x, line.x[i]);
                largest.y = std::max(largest.y, line.y[i]);
            }
    return largest;
}

/// Rows of characters, the first on top.
class Sheet {
public:
    Sheet(int columns, int rows, Largest largest)
        : columns_(columns), rows_(rows), largest_(largest),
          text_(static_cast<std::size_t>(rows),
                std::string(static_cast<std::size_t>(columns), ' ')) {}

    void draw(const TextLine& line, char mark) {
        double x0 = std::nan(""), y0 = x0;
        for (std::size_t i = 0; i < line.x.size(); ++i) {
            const double x = line.x[i] / largest_.x * (columns_ - 1);
            const double y = line.y[i] / largest_.y * (rows_ - 1);
            if (!std::isfinite(x) || !std::isfinite(y))
                continue;
            if (std::isnan(x0))
                put(x, y, mark);
            else
                join(x0, y0, x, y, mark);
            x0 = x;
            y0 = y;
        }
    }
    [[nodiscard]] const std::string& row(int i) const { return text_[static_cast<std::size_t>(i)]; }

private:
    void put(double x, double y, char mark) {
        const long column = std::lround(x), row = rows_ - 1 - std::lround(y);
        if (column >= 0 && column < columns_ && row >= 0 && row < rows_)
            text_[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] = mark;
    }
    void join(double x0, double y0, double x1, double y1, char mark) {
        const int n = 1 + static_cast<int>(std::max(std::abs(x1 - x0), std::abs(y1 - y0)));
        for (int i = 1; i <= n; ++i)
            put(x0 + (x1 - x0) * i / n, y0 + (y1 - y0) * i / n, mark);
    }

    int columns_, rows_;
    Largest largest_;
    std::vector<std::string> text_;
};

} // namespace

std::string text_plot(const std::vector<TextLine>& lines,
                      const std::string& x_name,
                      const std::string& y_name,
                      int width) {
    const Largest largest = largest_of(lines);
    if (!(largest.x > 0.0 && largest.y > 0.0))
        return "";
    const int columns = std::max(width - margin - 1, 20), rows = std::max(width / 5, 8);
    Sheet sheet(columns, rows, largest);
    for (std::size_t i = 0; i < lines.size(); ++i)
        sheet.draw(lines[i], marks[i % marks.size()]);
    std::string text = y_name + "\n";
    for (int i = 0; i < rows; ++i) {
        const bool numbered = i == 0 || i == rows - 1 || i == (rows - 1) / 2;
        const double y = largest.y * (rows - 1 - i) / (rows - 1);
        text +=
            numbered ? fmt::format("{:>{}.3g} |", y, margin - 1) : std::string(margin, ' ') + "|";
        text += sheet.row(i).substr(0, sheet.row(i).find_last_not_of(' ') + 1) + "\n";
    }
    const std::string right = fmt::format("{:.3g} {}", largest.x, x_name);
    text += std::string(margin, ' ') + "+" + std::string(static_cast<std::size_t>(columns), '-') +
            "\n" + std::string(margin + 1, ' ') + "0" + fmt::format("{:>{}}", right, columns - 1) +
            "\n";
    if (lines.size() > 1)
        for (std::size_t i = 0; i < lines.size(); ++i)
            text += fmt::format("  {} {}\n", marks[i % marks.size()], lines[i].label);
    return text;
}

} // namespace cellgrade
