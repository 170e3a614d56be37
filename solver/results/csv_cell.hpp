// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

/// The pieces that every CSV file of the program is put together from; rules in csv.hpp.
namespace cellgrade::csv {

/// Shortest text that reads back to the same bits; nothing where there is no number.
[[nodiscard]] std::string cell(double value);
/// Quoted where RFC 4180 asks for it.
[[nodiscard]] std::string cell(const std::string& text);
/// A line `# ...` each.
[[nodiscard]] std::string comment_lines(const std::vector<std::string>& comments);

} // namespace cellgrade::csv
