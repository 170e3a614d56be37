// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/point_law.hpp"

namespace cellgrade {

std::string_view describe(ParameterRange range) {
    switch (range) {
    case ParameterRange::NonZero:
        return "a number other than 0";
    case ParameterRange::Positive:
        return "a number above 0";
    case ParameterRange::Share:
        return "a number from 0 to below 1";
    case ParameterRange::Poisson:
        return "a number between -1 and 0.5";
    case ParameterRange::Any:
        break;
    }
    return "a finite number";
}

} // namespace cellgrade
