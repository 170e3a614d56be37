// SPDX-License-Identifier: Apache-2.0
#include "solver/results/csv_cell.hpp"

#include <fmt/format.h>

#include <cmath>

namespace cellgrade::csv {

std::string cell(double value) {
    return std::isnan(value) ? "" : fmt::format("{}", value); // fmt's default is the shortest
}

std::string cell(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos)
        return text;
    std::string quoted = "\"";
    for (const char c : text)
        quoted.append(c == '"' ? 2 : 1, c);
    return quoted + '"';
}

std::string comment_lines(const std::vector<std::string>& comments) {
    std::string text;
    for (const std::string& comment : comments) {
        std::string line = comment;
        for (char& c : line)
            c = c == '\n' || c == '\r' ? ' ' : c;
        text += fmt::format("# {}\n", line);
    }
    return text;
}

} // namespace cellgrade::csv
