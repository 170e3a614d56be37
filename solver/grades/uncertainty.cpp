// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/uncertainty.hpp"

#include <cmath>

namespace cellgrade {

double TraitUncertainty::combined() const {
    double sum = 0.0;
    bool any = false;
    for (const double part : parts)
        if (std::isfinite(part)) {
            sum += part * part;
            any = true;
        }
    return any ? std::sqrt(sum) : unknown;
}

std::string TraitUncertainty::missing() const {
    std::string text;
    for (std::size_t i = 0; i < parts.size(); ++i)
        if (!std::isfinite(parts[i]))
            text.append(text.empty() ? "" : ", ").append(doubt_part_names[i]);
    return text;
}

} // namespace cellgrade
