// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

namespace cellgrade {

/// A number of a JSON document; null where it is not known, for JSON has no NaN.
struct JsonNumber {
    double value;
};

[[nodiscard]] inline JsonNumber json_number(double value) {
    return {value};
}

/// What the JSON library calls to take one in; `Json` is its type.
template <class Json>
void to_json(Json& json, JsonNumber number) {
    if (std::isfinite(number.value))
        json = number.value;
    else
        json = nullptr;
}

} // namespace cellgrade
