// SPDX-License-Identifier: Apache-2.0
#include "materials/print/sampled_print.hpp"

#include "solver/core/error.hpp"
#include "solver/core/hashed_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace cellgrade {

namespace {

enum class Stream : std::uint64_t { Void = 1, Offset = 2, Factor = 3 };

double normal(std::uint64_t seed, Stream stream) {
    constexpr double width = 1.7155277699214135; // sqrt(8/e)
    std::uint64_t state = mixed(mixed(seed) ^ static_cast<std::uint64_t>(stream));
    for (;;) { // three tries in four are taken, so this ends
        const double u = unit_number(mixed(state)), v = unit_number(mixed(state ^ golden_step));
        const double z = width * (v - 0.5) / u;
        if (z * z <= -4.0 * std::log(u))
            return z;
        state = mixed(state + 1);
    }
}

// std::fma: one rounding, where a compiler is free to fuse or not.
double scattered_square(double mean, double sd, double z) {
    constexpr double share = 0.70710678118654752; // 1 / sqrt(2)
    const double m2 = std::fma(-sd, share, mean) * std::fma(sd, share, mean);
    const double a2 = std::sqrt(std::max(m2, 0.0));
    const double root = std::fma(std::sqrt(std::max(mean - a2, 0.0)), z, std::sqrt(a2));
    return root * root;
}

} // namespace

PrintSample
sampled_print(const PrintEffects& effects, double mean_void_fraction, std::uint64_t seed) {
    effects.check(mean_void_fraction);
    PrintSample s{.void_fraction = mean_void_fraction};
    if (effects.void_fraction)
        s.void_fraction = scattered_square(mean_void_fraction, effects.void_fraction->sd_of_next(),
                                           normal(seed, Stream::Void));
    CELLGRADE_CHECK(s.void_fraction < 1.0,
                    "print.void_fraction_sd: the print of seed {} has a porosity of {:.3g}; below "
                    "1 is needed, a narrower scatter",
                    seed, s.void_fraction);
    if (const auto& offset = effects.diameter_offset) {
        s.diameter_offset = offset->mean;
        if (offset->scatter)
            s.diameter_offset =
                std::fma(offset->scatter->sd_of_next(), normal(seed, Stream::Offset), offset->mean);
    }
    if (const auto& factor = effects.build_direction_factor) {
        s.build_direction_factor = factor->mean;
        if (factor->scatter)
            s.build_direction_factor = scattered_square(factor->mean, factor->scatter->sd_of_next(),
                                                        normal(seed, Stream::Factor));
    }
    return s;
}

double porous_shear_share(double void_fraction) {
    return (1.0 - void_fraction) / (1.0 + 2.0 / 3.0 * void_fraction);
}

AnyLaw with_moduli_times(AnyLaw any, double factor) {
    std::visit(
        [factor]<class Law>(Law& law) {
            for (const auto& p : Law::parameters())
                if (std::string_view(p.key).ends_with("_MPa"))
                    law.*p.member *= factor;
        },
        any);
    return any;
}

void scale_stress(PolymerCard& card, double factor) {
    card.law = with_moduli_times(card.law, factor);
    if (card.damage)
        card.damage->m *= factor; // an energy: the same shape stays damaged alike
}

PolymerCard card_of_print(PolymerCard card, const PrintSample& print) {
    const double before = void_fraction(card), now = print.void_fraction;
    card.density_kg_per_m3 *= (1.0 - now) / (1.0 - before);
    if (now != before)
        scale_stress(card, porous_shear_share(now) / porous_shear_share(before));
    std::visit([now](auto& law) { law.void_fraction = now; }, card.law);
    PrintEffects fixed;
    if (card.print && card.print->diameter_offset)
        fixed.diameter_offset = {.mean = print.diameter_offset, .scatter = {}};
    if (print.build_direction_factor)
        fixed.build_direction_factor = {.mean = *print.build_direction_factor, .scatter = {}};
    card.print = fixed == PrintEffects{} ? std::nullopt : std::optional(fixed);
    for (const char* key :
         {"void_fraction_sd", "diameter_offset_sd_mm", "build_direction_factor_sd"})
        card.sources.erase(key);
    return card;
}

} // namespace cellgrade
