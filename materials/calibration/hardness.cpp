// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/hardness.hpp"

#include "solver/core/error.hpp"

namespace cellgrade {

HardnessGuess guess_from_shore_A(double S) {
    CELLGRADE_CHECK(S >= 10.0 && S <= 95.0,
                    "shore_A = {:.4g} is outside 10 to 95, where the relation means something", S);
    const double E = 1e6 * 0.0981 * (56.0 + 7.62336 * S) / (0.137505 * (254.0 - 2.54 * S));
    return {.youngs_modulus_Pa = E, .low_Pa = E / 1.3, .high_Pa = E * 1.3};
}

} // namespace cellgrade
