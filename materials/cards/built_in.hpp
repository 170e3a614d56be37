// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string_view>

namespace cellgrade::detail {

struct BuiltInCard {
    std::string_view name;
    std::string_view text;
};

/// The card files of this folder, compiled into the program, sorted by name.
[[nodiscard]] std::span<const BuiltInCard> built_in_cards();

} // namespace cellgrade::detail
