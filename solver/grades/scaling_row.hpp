// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <limits>
#include <string>

namespace cellgrade {

/// A trait of the grades of one cell as a power of relative density,
///
///   trait / scale = coefficient (relative density)^exponent
///
/// with `scale` the polymer's modulus for stresses and 1 for strains; densification strain is
/// fitted as 1 - coefficient (relative density)^exponent. Intervals hold 95 %.
struct ScalingRow {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    std::string cell;
    std::array<Index, 3> direction{0, 0, 1};
    double strain_rate_per_s = unknown;
    double temperature_C = unknown;
    std::string trait; ///< a name of trait_fields()
    Index grades = 0;  ///< that went into the fit
    double density_from = unknown, density_to = unknown;
    double coefficient = unknown, coefficient_low = unknown, coefficient_high = unknown;
    double exponent = unknown, exponent_low = unknown, exponent_high = unknown;
    double worst_share = unknown; ///< largest |fit / trait - 1| of the grades [-]
    std::string theory;           ///< of open cells, with its source; empty: none known
    double theory_coefficient = unknown, theory_exponent = unknown;
};

} // namespace cellgrade
