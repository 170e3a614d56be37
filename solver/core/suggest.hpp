// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// Optimal string alignment distance (Damerau-Levenshtein without repeated edits of one place).
[[nodiscard]] int edit_distance(std::string_view a, std::string_view b);

/// At most three known names within two edits or a third of the length of `name`, nearest first.
[[nodiscard]] std::vector<std::string> nearest_names(std::string_view name,
                                                     std::span<const std::string> known);

/// "; did you mean a or b? (known: a, b, c)", with the full list when it is short or nothing is
/// near.
[[nodiscard]] std::string did_you_mean(std::string_view name, std::span<const std::string> known);

} // namespace cellgrade
