// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

/// A table of numbers read from delimited text of unknown dialect.
struct TextTable {
    struct Row {
        int line = 0;                   ///< in the file, from 1
        std::vector<std::string> cells; ///< numbers with a decimal point; empty where nothing stood
    };
    std::vector<std::string> names; ///< header row; empty when the file has none
    std::vector<std::string> units; ///< second header row; empty when the file has none
    int header_line = 0;
    std::vector<Row> rows;
    std::vector<std::string> notes; ///< what was detected, one clause each
};

/// Splits delimited text: finds the separator (`;`, tab, `,` or blanks), the decimal sign, a header
/// row and a row of units under it; skips blank lines and lines that start with `#`; drops a UTF-8
/// byte order mark.
///
/// Errors (file:line): no rows; UTF-16; a row with another number of cells than the header; commas
/// that could be separators or decimal signs; numbers that mix `.` and `,`.
/// @param file only for messages
[[nodiscard]] TextTable read_text_table(const std::string& text, const std::string& file);

/// The number in a cell, read without regard to the locale. Error (file:line) that names the column
/// when it is empty, no number, or not finite.
[[nodiscard]] double cell_number(const TextTable& table,
                                 const TextTable::Row& row,
                                 std::size_t column,
                                 const std::string& file);

} // namespace cellgrade
