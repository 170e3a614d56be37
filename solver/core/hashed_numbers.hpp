// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

namespace cellgrade {

inline constexpr std::uint64_t golden_step = 0x9e3779b97f4a7c15ULL; ///< 2^64 over the golden ratio

/// Well mixed bits of a number: the step function of the splitmix64 generator, the same on every
/// platform. Source: Steele, Lea & Flood (2014), OOPSLA, with the constants of Vigna (from memory).
[[nodiscard]] constexpr std::uint64_t mixed(std::uint64_t z) noexcept {
    z += golden_step;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

/// In (0, 1], 53 bits.
[[nodiscard]] constexpr double unit_number(std::uint64_t bits) noexcept {
    return static_cast<double>((bits >> 11) + 1) * 0x1p-53;
}

} // namespace cellgrade
