// SPDX-License-Identifier: Apache-2.0
#include "solver/core/sums.hpp"

#include <algorithm>
#include <cstddef>

namespace cellgrade {

double ordered_sum(std::span<const double> values) {
    constexpr std::size_t chunk = 256;
    double total = 0.0;
    for (std::size_t start = 0; start < values.size(); start += chunk) {
        double part = 0.0;
        for (std::size_t i = start; i < std::min(start + chunk, values.size()); ++i)
            part += values[i];
        total += part;
    }
    return total;
}

} // namespace cellgrade
