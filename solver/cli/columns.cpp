// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace cellgrade {

namespace {

/// Characters of UTF-8 text: bytes that continue none.
std::size_t shown_width(const std::string& text) {
    return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
    }));
}

} // namespace

std::string columns_text(const std::vector<std::string>& header,
                         const std::vector<std::vector<std::string>>& rows) {
    std::vector<std::size_t> width;
    for (const std::string& name : header)
        width.push_back(shown_width(name));
    for (const std::vector<std::string>& row : rows)
        for (std::size_t i = 0; i < row.size() && i < width.size(); ++i)
            width[i] = std::max(width[i], shown_width(row[i]));
    const auto line = [&](const std::vector<std::string>& cells) {
        std::string text;
        for (std::size_t i = 0; i < cells.size() && i < width.size(); ++i) {
            const bool flush_left = header[i].ends_with(' ');
            text += i == 0 ? "" : "  ";
            text += flush_left ? fmt::format("{:<{}}", cells[i], width[i])
                               : fmt::format("{:>{}}", cells[i], width[i]);
        }
        text.erase(text.find_last_not_of(' ') + 1);
        return text + "\n";
    };
    std::string text = line(header);
    for (const std::vector<std::string>& row : rows)
        text += line(row);
    return text;
}

std::string readable(double value, int digits) {
    return std::isnan(value) ? "-" : fmt::format("{:.{}g}", value, digits);
}

} // namespace cellgrade
