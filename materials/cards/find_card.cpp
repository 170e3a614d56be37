// SPDX-License-Identifier: Apache-2.0
#include "materials/cards/built_in.hpp"
#include "materials/cards/polymer_card.hpp"
#include "solver/core/suggest.hpp"

namespace cellgrade {

std::vector<std::string> card_names() {
    std::vector<std::string> names;
    for (const detail::BuiltInCard& card : detail::built_in_cards())
        names.emplace_back(card.name);
    return names;
}

std::string_view built_in_card_text(std::string_view name) {
    for (const detail::BuiltInCard& card : detail::built_in_cards())
        if (card.name == name)
            return card.text;
    throw input_error("polymer card '{}' is not known{}; a file needs a '/' or the ending .toml",
                      name, did_you_mean(name, card_names()));
}

PolymerCard find_card(const std::string& name_or_path) {
    if (name_or_path.find('/') != std::string::npos || name_or_path.ends_with(".toml"))
        return read_card(name_or_path);
    return parse_card(built_in_card_text(name_or_path), name_or_path + " (built-in card)");
}

} // namespace cellgrade
