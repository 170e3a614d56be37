// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"

#include <cmath>
#include <cstdint>
#include <limits>

/// Roots and logarithms on a lane type S (double or Pack).
namespace cellgrade::lane {

namespace detail {

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wpedantic"
using PackBits [[gnu::vector_size(sizeof(Pack))]] = std::int64_t;
#pragma GCC diagnostic pop

/// x^(-1/3) to 3.5 %: a third of the bits of x, exponent and mantissa alike, off a constant. The
/// upper half of the bits goes through doubles, because no vector unit we build for divides
/// integers. Source: the constant of Moroz et al. (2021), Computation 9:21, for single precision
/// (from memory), moved to double; checked over all exponents in the tests.
template <class Bits, class S>
[[nodiscard]] CELLGRADE_INLINE S inverse_cbrt_guess(const S& x) noexcept {
    constexpr double two52 = 4503599627370496.0;
    constexpr std::int64_t two52_bits = 0x4330000000000000;
    const S upper =
        std::bit_cast<S>(((std::bit_cast<Bits>(x) >> 32) & std::int64_t{0x7fffffff}) | two52_bits) -
        two52;
    const S guess = (two52 + 1430188288.0) - (1.0 / 3.0) * upper;
    return std::bit_cast<S>((std::bit_cast<Bits>(guess) & std::int64_t{0x7fffffff}) << 32);
}

} // namespace detail

[[nodiscard]] CELLGRADE_INLINE double sqrt(double x) noexcept {
    return std::sqrt(x);
}
[[nodiscard]] CELLGRADE_INLINE Pack sqrt(const Pack& x) noexcept {
    return std::experimental::sqrt(x);
}

/// Lane by lane the scalar function: for output, not for the time step.
[[nodiscard]] inline double log(double x) noexcept {
    return std::log(x);
}
[[nodiscard]] inline Pack log(const Pack& x) noexcept {
    return Pack([&](auto i) { return std::log(static_cast<double>(x[i])); });
}
[[nodiscard]] inline double expm1(double x) noexcept {
    return std::expm1(x);
}
[[nodiscard]] inline Pack expm1(const Pack& x) noexcept {
    return Pack([&](auto i) { return std::expm1(static_cast<double>(x[i])); });
}
[[nodiscard]] inline double log1p(double x) noexcept {
    return std::log1p(x);
}
[[nodiscard]] inline Pack log1p(const Pack& x) noexcept {
    return Pack([&](auto i) { return std::log1p(static_cast<double>(x[i])); });
}

/// x^(-1/3) for normal x > 0, NaN for others. With the residual r = 1 - x y^3:
///
///   y <- y (1 + r/3 + 2 r^2/9)   twice: r goes 0.1, 5e-4, 1e-10       y <- y (1 + r/3)   once
///
/// Within 1 unit in the last place. No division; 28 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE S inverse_cbrt(const S& x) noexcept {
    S y;
    if constexpr (lanes_of<S> == 1)
        y = detail::inverse_cbrt_guess<std::int64_t>(x);
    else
        y = detail::inverse_cbrt_guess<detail::PackBits>(x);
    for (int n = 0; n < 2; ++n) {
        const S r = 1.0 - x * (y * y * y);
        y += y * (r * (1.0 / 3.0 + r * (2.0 / 9.0)));
    }
    y += y * ((1.0 - x * (y * y * y)) * (1.0 / 3.0));
    return select(x > 0.0, y, S(std::numeric_limits<double>::quiet_NaN()));
}

} // namespace cellgrade::lane
