// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"

#include <cstdint>
#include <optional>

namespace cellgrade {

/// One print out of the scatter of a card.
struct PrintSample {
    double void_fraction = 0.0;                   ///< [-]
    double diameter_offset = 0.0;                 ///< printed minus drawn [m]
    std::optional<double> build_direction_factor; ///< [-]; unset: the card has none
};

/// A print by its seed: the same bits for the same seed on every machine with IEEE arithmetic.
///
///   offset = mean + s z        porosity, factor = (a + b z)^2,  b^2 = m - sqrt(m^2 - s^2/2),
///                                                              a^2 = sqrt(m^2 - s^2/2)
///
/// z are independent normal numbers, s is sd_of_next(). The square has exactly the mean m and the
/// standard deviation s, is never below 0 and is nearly normal for s << m. What has no scatter is
/// its mean. Each of the three has a stream of its own: adding one leaves the others as they were.
///
/// The offset moves all struts of a specimen alike. Where readings scatter from strut to strut
/// inside a print and not from print to print, that is too much scatter for a specimen of many
/// struts; such scatter belongs into `diameter_scatter_share` of a study.
///
/// Source: ratio of uniforms (Kinderman and Monahan 1977) over splitmix64 (Steele, Lea and Flood
/// 2014), both from memory; +, *, / and square roots alone make the value, a logarithm only says
/// which tries are taken. Mean of the square a^2 + b^2, variance 4 a^2 b^2 + 2 b^4: own derivation.
/// Errors (input): effects that fail their check(); a porosity of 1 and more.
[[nodiscard]] PrintSample
sampled_print(const PrintEffects& effects, double mean_void_fraction, std::uint64_t seed);

/// The card of one print, without scatter: its porosity in law and density, its offset and factor
/// in `print`.
///
///   density ~ 1 - v        every modulus ~ (1 - v) / (1 + 2 v / 3), Poisson's ratio kept
///
/// Source: Hashin and Shtrikman 1963, shear modulus of an incompressible solid with voids (upper
/// bound; 1 - 5/3 v for few of them). The card's own moduli hold at its own porosity.
[[nodiscard]] PolymerCard card_of_print(PolymerCard card, const PrintSample& print);

/// Every modulus of a law times a factor; stress and energy go with it, stretches do not.
[[nodiscard]] AnyLaw with_moduli_times(AnyLaw law, double factor);

/// Every stress of a card times a factor, at the same stretches and times; the one place that knows
/// what of a card is a stress or an energy.
void scale_stress(PolymerCard& card, double factor);

/// (1 - v) / (1 + 2 v / 3): see card_of_print(). @param void_fraction in [0, 1)
[[nodiscard]] double porous_shear_share(double void_fraction);

} // namespace cellgrade
