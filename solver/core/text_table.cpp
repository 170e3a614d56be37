// SPDX-License-Identifier: Apache-2.0
#include "solver/core/text_table.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string_view>

namespace cellgrade {

namespace {

struct Line {
    int number;
    std::string text;
};

Error line_error(const std::string& file, int line, const std::string& what) {
    return {Fault::Input, what, {.file = file, .line = line, .column = 1}};
}

std::string trimmed(std::string_view text) {
    const auto is_blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && is_blank(text.front()))
        text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back()))
        text.remove_suffix(1);
    if (text.size() >= 2 && text.front() == '"' && text.back() == '"')
        text = text.substr(1, text.size() - 2);
    return std::string(text);
}

std::vector<Line> filled_lines(std::string_view text) {
    std::vector<Line> lines;
    int number = 0;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of("\r\n"), text.size());
        const std::string line(text.substr(0, end));
        const std::size_t gap = text.substr(end).starts_with("\r\n") ? 2 : 1;
        text.remove_prefix(std::min(end + gap, text.size()));
        ++number;
        if (const std::string body = trimmed(line); !body.empty() && body.front() != '#')
            lines.push_back({number, line});
    }
    return lines;
}

std::vector<std::string> split(const std::string& line, char separator) {
    std::vector<std::string> cells;
    std::string cell;
    bool quoted = false;
    for (const char c : line) {
        quoted = quoted != (c == '"');
        if (c == separator && !quoted) {
            cells.push_back(trimmed(cell));
            cell.clear();
        } else {
            cell += c;
        }
    }
    cells.push_back(trimmed(cell));
    if (separator == ' ')
        std::erase(cells, "");
    return cells;
}

std::optional<double> parsed(std::string_view text) {
    if (text.starts_with('+'))
        text.remove_prefix(1);
    double value = 0.0;
    const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (code != std::errc() || end != text.data() + text.size())
        return std::nullopt;
    return value;
}

bool looks_numeric(const std::string& cell) {
    return !cell.empty() && cell.find_first_of("0123456789") != std::string::npos &&
           cell.find_first_not_of("+-0123456789.,eE") == std::string::npos;
}

bool is_number_row(const std::vector<std::string>& cells) {
    bool any = false;
    for (const std::string& cell : cells) {
        const bool number = looks_numeric(cell) || parsed(cell).has_value(); // also nan, inf
        if (!cell.empty() && !number)
            return false;
        any = any || number;
    }
    return any;
}

char find_separator(const std::vector<Line>& lines) {
    // The last line is data, and free of the words in which a header may use any sign.
    for (const char candidate : {';', '\t'})
        if (lines.back().text.find(candidate) != std::string::npos)
            return candidate;
    if (lines.back().text.find(',') == std::string::npos)
        return lines.front().text.find(',') != std::string::npos ? ',' : ' ';
    // "0,1  0,2": blanks part the cells, commas are decimal signs.
    const std::vector<std::string> by_blanks = split(lines.back().text, ' ');
    const bool blanks_part =
        by_blanks.size() > 1 && std::all_of(by_blanks.begin(), by_blanks.end(), [](const auto& c) {
            return c.back() != ',' && c.front() != ',' && c != ",";
        });
    return blanks_part ? ' ' : ',';
}

std::string separator_name(char separator) {
    if (separator == '\t')
        return "tab";
    return separator == ' ' ? "blanks" : fmt::format("'{}'", separator);
}

/// Commas between digits are either separators or decimal signs; refuse when both readings fit.
void refuse_ambiguous_commas(const TextTable& table, const std::string& file) {
    const TextTable::Row& row = table.rows.front();
    const auto is_whole = [](const std::string& c) {
        return c.find_first_of(".eE") == std::string::npos;
    };
    const bool all_whole = std::all_of(table.rows.begin(), table.rows.end(), [&](const auto& r) {
        return std::all_of(r.cells.begin(), r.cells.end(), is_whole);
    });
    const std::size_t width = table.names.empty() ? 2 : table.names.size();
    if (all_whole && row.cells.size() == 2 * width)
        throw line_error(file, row.line,
                         "every ',' could be a separator or a decimal sign; write a decimal point, "
                         "or separate columns by ';'");
}

/// Turns decimal commas into points; refuses numbers that use both signs.
void settle_decimal_sign(TextTable& table, const std::string& file) {
    int comma_line = 0, point_line = 0;
    for (const TextTable::Row& row : table.rows)
        for (const std::string& cell : row.cells) {
            if (!looks_numeric(cell))
                continue;
            const auto commas = std::count(cell.begin(), cell.end(), ',');
            const auto points = std::count(cell.begin(), cell.end(), '.');
            if (commas > 1 || points > 1 || (commas == 1 && points == 1))
                throw line_error(file, row.line,
                                 fmt::format("'{}' groups its digits; write numbers without "
                                             "thousands separators",
                                             cell));
            if (commas == 1 && comma_line == 0)
                comma_line = row.line;
            if (points == 1 && point_line == 0)
                point_line = row.line;
        }
    if (comma_line > 0 && point_line > 0)
        throw line_error(file, std::max(comma_line, point_line),
                         fmt::format("decimal commas (line {}) and decimal points (line {}) in one "
                                     "file; use one of them",
                                     comma_line, point_line));
    if (comma_line == 0)
        return;
    table.notes.emplace_back("decimal comma");
    for (TextTable::Row& row : table.rows)
        for (std::string& cell : row.cells)
            if (looks_numeric(cell))
                std::replace(cell.begin(), cell.end(), ',', '.');
}

void check_widths(const TextTable& table, const std::string& file) {
    const std::size_t width =
        table.names.empty() ? table.rows.front().cells.size() : table.names.size();
    for (const TextTable::Row& row : table.rows)
        if (row.cells.size() != width)
            throw line_error(
                file, row.line,
                fmt::format("{} cells where {} are needed ({})", row.cells.size(), width,
                            table.notes.empty() ? "unknown separator" : table.notes.front()));
}

/// Header: names, then perhaps units; everything below is rows.
void sort_lines(TextTable& table, const std::vector<Line>& lines, char separator) {
    std::size_t first = 0;
    if (const auto cells = split(lines[0].text, separator); !is_number_row(cells)) {
        table.names = cells;
        table.header_line = lines[0].number;
        first = 1;
        if (lines.size() > 1) {
            const auto below = split(lines[1].text, separator);
            if (!is_number_row(below) && below.size() == cells.size() &&
                std::none_of(below.begin(), below.end(), looks_numeric)) {
                table.units = below;
                first = 2;
                table.notes.emplace_back("units in the second row");
            }
        }
    }
    for (std::size_t i = first; i < lines.size(); ++i)
        table.rows.push_back({lines[i].number, split(lines[i].text, separator)});
}

} // namespace

TextTable read_text_table(const std::string& text, const std::string& file) {
    std::string_view body = text;
    if (body.starts_with("\xFF\xFE") || body.starts_with("\xFE\xFF") ||
        body.substr(0, 200).find('\0') != std::string_view::npos)
        throw Error(Fault::Input, "not UTF-8 text; save it as UTF-8", {.file = file});
    const bool mark = body.starts_with("\xEF\xBB\xBF");
    if (mark)
        body.remove_prefix(3);
    const std::vector<Line> lines = filled_lines(body);
    if (lines.empty())
        throw Error(Fault::Input,
                    "is empty; a header row and at least two rows of numbers are needed",
                    {.file = file});
    const char separator = find_separator(lines);
    TextTable table;
    table.notes.push_back("separator " + separator_name(separator));
    if (mark)
        table.notes.emplace_back("byte order mark dropped");
    sort_lines(table, lines, separator);
    if (table.rows.empty())
        throw line_error(file, lines.back().number, "no rows of numbers below the header");
    if (separator == ',')
        refuse_ambiguous_commas(table, file);
    check_widths(table, file);
    settle_decimal_sign(table, file);
    return table;
}

double cell_number(const TextTable& table,
                   const TextTable::Row& row,
                   std::size_t column,
                   const std::string& file) {
    const std::string& cell = row.cells.at(column);
    const std::string name =
        column < table.names.size() ? table.names[column] : fmt::format("{}", column + 1);
    const auto value = parsed(cell);
    if (!value)
        throw line_error(file, row.line,
                         fmt::format("column '{}': '{}' is not a number", name, cell));
    if (!std::isfinite(*value))
        throw line_error(file, row.line,
                         fmt::format("column '{}': {} is not a finite number", name, cell));
    return *value;
}

} // namespace cellgrade
