// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"

#include <cstdint>
#include <limits>
#include <type_traits>

/// Logarithm and exponential on a lane type S (double or Pack), for the time step: no branches, no
/// calls. A power is exp(a ln x), with a relative error of about |a ln x| units in the last place.
namespace cellgrade::lane {

namespace detail {

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wpedantic"
using PackWords [[gnu::vector_size(sizeof(Pack))]] = std::uint64_t;
#pragma GCC diagnostic pop

/// The bits of S, one word a lane.
template <class S>
using Words = std::conditional_t<lanes_of<S> == 1, std::uint64_t, PackWords>;

inline constexpr double ln2_high = 6.93147180369123816490e-01; ///< its last 20 bits are zero
inline constexpr double ln2_low = 1.90821492927058770002e-10;

} // namespace detail

/// ln x for normal x > 0; NaN for all others, infinity and the subnormal too.
///
///   x = 2^k m, m in sqrt(1/2) .. sqrt(2)      s = (m - 1)/(m + 1)      z = s^2
///   ln x = k ln 2 + 2 s + s z R(z)            R a polynomial of degree 6
///
/// Within 1 unit in the last place; ln 1 is 0. One division, 30 flops.
/// Source: method and coefficients of Ng (1993), the freely distributable C mathematics library,
/// e_log.c (from memory; the tests compare with the C library over all exponents).
template <class S>
[[nodiscard]] CELLGRADE_INLINE S ln(const S& x) noexcept {
    using Words = detail::Words<S>;
    constexpr std::uint64_t root_half = 0x3fe6a09e667f3bcd, one = 0x3ff0000000000000;
    constexpr std::uint64_t two52_bits = 0x4330000000000000, fraction = 0x000fffffffffffff;
    constexpr double two52 = 4503599627370496.0;
    const Words shifted = std::bit_cast<Words>(x) + (one - root_half);
    const S k = std::bit_cast<S>(Words((shifted >> 52) | two52_bits)) - (two52 + 1023.0);
    const S f = std::bit_cast<S>(Words((shifted & fraction) + root_half)) - 1.0; // m - 1
    const S s = f / (2.0 + f);
    const S z = s * s;
    constexpr std::array<double, 7> c = {6.666666666666735130e-01, 3.999999999940941908e-01,
                                         2.857142874366239149e-01, 2.222219843214978396e-01,
                                         1.818357216161805012e-01, 1.531383769920937332e-01,
                                         1.479819860511658591e-01};
    // 2 s + s z R = f - (f^2/2 - s (f^2/2 + z R)): f is exact, the rest is small
    const S half = 0.5 * (f * f);
    const S rest = half - (s * (half + z * polynomial(c, z)) + k * detail::ln2_low);
    const S result = k * detail::ln2_high + (f - rest);
    constexpr double least = std::numeric_limits<double>::min();
    constexpr double largest = std::numeric_limits<double>::max();
    const S nan(std::numeric_limits<double>::quiet_NaN());
    return select(x >= least, select(x <= largest, result, nan), nan);
}

/// e^x; 0 below x = -708 and infinity above x = 709, NaN for NaN.
///
///   x = k ln 2 + r, |r| < 0.35      e^x = 2^k (1 + r + r^2 T(r))      T: Taylor to r^13/13!
///
/// Within 1 unit in the last place, the part left out 4e-18; e^0 is 1. No division; 38 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S exp(const S& x) noexcept {
    using Words = detail::Words<S>;
    constexpr double log2_e = 1.44269504088896340736;
    constexpr double magic = 6755399441055744.0; // 1.5 * 2^52: k is left in the low bits
    constexpr std::uint64_t one = 0x3ff0000000000000;
    const S marked = x * log2_e + magic;
    const S k = marked - magic;
    const S r = (x - k * detail::ln2_high) - k * detail::ln2_low;
    constexpr std::array<double, 12> c = {1.0 / 2.0,        1.0 / 6.0,         1.0 / 24.0,
                                          1.0 / 120.0,      1.0 / 720.0,       1.0 / 5040.0,
                                          1.0 / 40320.0,    1.0 / 362880.0,    1.0 / 3628800.0,
                                          1.0 / 39916800.0, 1.0 / 479001600.0, 1.0 / 6227020800.0};
    const S mantissa = 1.0 + (r + r * r * polynomial(c, r));
    const S power = std::bit_cast<S>(Words((std::bit_cast<Words>(marked) << 52) + one));
    const S inside = select(x < -708.0, S(0.0), mantissa * power);
    return select(x > 709.0, S(std::numeric_limits<double>::infinity()), inside);
}

} // namespace cellgrade::lane
