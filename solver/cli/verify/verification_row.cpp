// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/verify/verification_row.hpp"

#include <cmath>
#include <limits>

namespace cellgrade {

VerificationRow verification_row_scaled(VerificationRow filled, double scale) {
    const double error = std::abs(filled.computed - filled.reference) / std::abs(scale);
    filled.relative_error = std::isnan(error) ? std::numeric_limits<double>::infinity() : error;
    filled.pass = filled.relative_error <= filled.tolerance;
    return filled;
}

VerificationRow verification_row(VerificationRow filled) {
    const double scale = filled.reference;
    return verification_row_scaled(std::move(filled), scale);
}

} // namespace cellgrade
