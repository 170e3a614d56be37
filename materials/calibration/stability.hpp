// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"
#include "materials/laws/registry.hpp"

#include <vector>

namespace cellgrade {

/// Range of stretch around rest in which a law is stable in a mode.
struct StableRange {
    CouponMode mode;
    double low, high; ///< as Coupon::stretch; of simple shear only high is a limit (low = -high)
    bool low_found, high_found; ///< false: the search ended first, at stretch 0.2 (equibiaxial
                                ///< 0.45) or 6, shear 5
};

/// Drucker stability of a law along each mode but the volumetric one.
///
///   d(tau) : d(ln lambda) > 0 for every small change, tau = J sigma on the principal axes
///
/// so the matrix d(tau_i)/d(ln lambda_j), symmetric for a law with an energy, must be positive
/// definite; by central differences, steps of 1 % in stretch, the limit halved to 0.1 %. Simple
/// shear g has the principal stretches of a planar test, exp(+-asinh(g/2)).
/// Source: Drucker (1959), J. Appl. Mech. 26, 101; in these variables Ogden (1984), Non-Linear
/// Elastic Deformations, sec. 6.2 (from memory).
[[nodiscard]] std::vector<StableRange> stable_ranges(const AnyLaw& law);

/// Whether a law is stable at one stretch of a mode.
[[nodiscard]] bool is_stable(const AnyLaw& law, CouponMode mode, double stretch);

} // namespace cellgrade
