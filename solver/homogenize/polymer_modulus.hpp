// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"

namespace cellgrade {

/// Strain at which the modulus of a rate-dependent polymer is taken.
inline constexpr double polymer_modulus_strain = 0.01;

/// Young's modulus of the polymer at a rate: what theories of cellular solids call E_s [Pa].
///
///   G(t) = G0 (1 - sum g_i (1 - exp(-t / tau_i)))            t = e / rate, e = 0.01
///   G_s = (1 / t) int_0^t G(s) ds = G0 (1 - sum g_i (1 - (tau_i / t)(1 - exp(-t / tau_i))))
///   E_s = 9 K G_s / (3 K + G_s)
///
/// the secant of a ramp of small strain; a rate of 0 gives the long-term modulus, a very large one
/// the instantaneous. Source: Ferry (1980), Viscoelastic Properties of Polymers, ch. 3, ramp by
/// integration.
/// @param rate_per_s  of nominal strain, >= 0
[[nodiscard]] double polymer_modulus_Pa(const PolymerCard& card, double rate_per_s);

} // namespace cellgrade
