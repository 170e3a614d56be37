// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <initializer_list>

namespace cellgrade {

/// The number that, times the factor, gives the SI value back: dividing alone can miss by one unit
/// in the last place.
[[nodiscard]] inline double in_unit(double SI, double to_SI) {
    const double middle = SI / to_SI;
    for (const double towards : {-HUGE_VAL, HUGE_VAL}) {
        const double next = std::nextafter(middle, towards);
        if (middle * to_SI != SI && next * to_SI == SI)
            return next;
    }
    return middle;
}

} // namespace cellgrade
