// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

namespace cellgrade {

/// One branch of a relaxation function
///
///   g(t) = 1 - sum share_i (1 - exp(-t / time_i))
///
/// relative to the instantaneous modulus; what is left at the end is 1 - sum share_i.
struct PronyTerm {
    double share;  ///< of the instantaneous modulus [-], > 0
    double time_s; ///< relaxation time [s], > 0
};

/// Throws an input Error for a share or time that is not positive, and for shares that add up to 1
/// or more (a solid must keep some stiffness).
void check_prony(std::span<const PronyTerm> terms);

/// g after a long time: 1 - sum of shares [-].
[[nodiscard]] double long_term_share(std::span<const PronyTerm> terms);

/// g(t) of a step of strain [-].
[[nodiscard]] double relaxation(std::span<const PronyTerm> terms, double time_s);

/// Storage and loss part of the modulus, relative to the instantaneous one, at an angular
/// frequency [rad/s]: storage = g_inf + sum g w^2 t^2/(1 + w^2 t^2), loss = sum g w t/(1 + w^2
/// t^2). Source: Ferry (1980), Viscoelastic Properties of Polymers, ch. 3.
struct DynamicShare {
    double storage; ///< [-]
    double loss;    ///< [-]; loss / storage = tan delta
};
[[nodiscard]] DynamicShare dynamic_share(std::span<const PronyTerm> terms, double rad_per_s);

} // namespace cellgrade
