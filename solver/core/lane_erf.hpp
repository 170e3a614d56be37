// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/lane_powers.hpp"

#include <array>

namespace cellgrade::lane {

/// erf x and e^(-x^2), which one needs together.
template <class S>
struct ErrorFunction {
    S erf;
    S gauss;
};

/// Error function on a lane type S (double or Pack) for x >= 0; 1 above x = 6, NaN for NaN.
///
///   erf x = 1 - e^(-x^2) Q(t)      t = 3/(3 + x)      Q of degree 17
///
/// Q interpolates e^(x^2) erfc x at the 18 Chebyshev nodes of 0 <= x <= 6 in 50 digits, rounded:
/// |error| of erf below 7e-17 + rounding, below 1e-15 together (tested against the C library).
/// Small x keep that absolute error, not a relative one. One division, 80 flops.
template <class S>
[[nodiscard]] CELLGRADE_INLINE ErrorFunction<S> error_function(const S& x) noexcept {
    constexpr std::array<double, 18> c = {
        1.291360584402106e-07, 0.18805995081764973,  0.18809776415706567, 0.17743075958642668,
        0.1569768647592291,    0.13062208865671282,  0.06112824661393259, 0.2014935632615406,
        -0.4326335041507937,   1.0774162171237576,   -1.9062768865951294, 2.5415740339615414,
        -2.5797183484059323,   1.896414488243614,    -0.9644536704177381, 0.3218829904499378,
        -0.06371203519486116,  0.0056973479969883575};
    const S inside = select(x > 6.0, S(6.0), x);
    const S gauss = exp(S(-inside * inside));
    return {1.0 - gauss * polynomial(c, S(3.0 / (3.0 + inside))), gauss};
}

} // namespace cellgrade::lane
