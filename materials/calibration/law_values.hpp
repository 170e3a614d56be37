// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/registry.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// One parameter of a law of the registry, without the law's type.
struct LawValue {
    std::string_view key; ///< as in a card; ends in the unit
    double to_SI;         ///< from the key's unit
    ParameterRange range;
    double value; ///< SI
};

/// All parameters of a law, in the law's order.
[[nodiscard]] std::vector<LawValue> law_values(const AnyLaw& law);

/// Writes all parameters (SI, in the law's order); nothing is checked.
void set_law_values(AnyLaw& law, std::span<const double> values);

/// A law of that kind with all parameters 0; nothing when the registry has none.
[[nodiscard]] std::optional<AnyLaw> blank_law(std::string_view kind);

/// Kinds of the registry, in its order.
[[nodiscard]] std::vector<std::string> known_law_kinds();

[[nodiscard]] std::string_view kind_of(const AnyLaw& law);

} // namespace cellgrade
