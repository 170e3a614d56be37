// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

/// Rows of text under a header, columns padded to their widest entry and two blanks apart; columns
/// whose header ends in a blank are set flush left, the others right.
[[nodiscard]] std::string columns_text(const std::vector<std::string>& header,
                                       const std::vector<std::vector<std::string>>& rows);

/// A number for people: `digits` significant ones, "-" when it is not known (NaN).
[[nodiscard]] std::string readable(double value, int digits = 4);

} // namespace cellgrade
