// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/keyed_file.hpp"

#include <string_view>

namespace cellgrade {

/// The number at a key, or `fallback` without the key; in [low, high], else an error at the key.
inline double
within(const KeyedTable& t, std::string_view key, double fallback, double low, double high) {
    const double value = t.number_or(key, fallback);
    if (!(value >= low && value <= high))
        throw t.error(key,
                      fmt::format("{} is out of range; {} to {} is allowed", value, low, high));
    return value;
}

} // namespace cellgrade
