// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/polymer_modulus.hpp"

#include "solver/core/error.hpp"

#include <cmath>

namespace cellgrade {

double polymer_modulus_Pa(const PolymerCard& card, double rate_per_s) {
    CELLGRADE_CHECK(rate_per_s >= 0.0, "a strain rate of {} 1/s is not allowed", rate_per_s);
    double share = 1.0;
    for (const PronyTerm& term : card.prony) {
        const double x = polymer_modulus_strain / (rate_per_s * term.time_s); // t / tau
        const double kept = std::isfinite(x) ? -std::expm1(-x) / x : 0.0;
        share -= term.share * (1.0 - kept);
    }
    const double G = share * shear_modulus_Pa(card), K = bulk_modulus_Pa(card);
    return 9.0 * K * G / (3.0 * K + G);
}

} // namespace cellgrade
