// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/core/types.hpp"

#include <array>

namespace cellgrade {

/// The line from 0 through the values s_k at h, 2 h, ..., its corners rounded off over h.
///
///   p(e) = m_0 e + sum_k (m_k - m_(k-1)) R(e - k h)      m_k = (s_(k+1) - s_k) / h, s_0 = 0
///   R(x) = 0 | (x + h/2)^2 / (2 h) | x      below -h/2, between, above h/2
///
/// A quadratic B-spline curve with that control polygon, so it rises where the s_k rise. Straight
/// below h/2, with the slope at 0, and past the last value.
/// Source: de Boor (1978), A Practical Guide to Splines, ch. X (from memory).
template <int Most>
struct RoundedLine {
    double spacing = 1.0; ///< h
    double first_slope = 0.0;
    int n = 0; ///< corners
    std::array<double, Most> change = {};

    /// @param values  the first `count` of them count, count >= 1
    RoundedLine(double h, const std::array<double, Most>& values, int count) noexcept
        : spacing(h), first_slope(values[0] / h) {
        double slope = first_slope;
        for (int k = 1; k < count; ++k) {
            const double next = (values[k] - values[k - 1]) / h;
            change[n++] = next - slope;
            slope = next;
        }
    }

    /// p(e).
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S value(const S& e) const noexcept {
        S sum = first_slope * e;
        for (int k = 0; k < n; ++k) {
            const Ramp<S> ramp(S(e - (k + 1) * spacing), spacing);
            sum += change[k] * ((0.5 / spacing) * ramp.t * ramp.t + ramp.past);
        }
        return sum;
    }
    /// p'(e).
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S slope(const S& e) const noexcept {
        S sum(first_slope);
        for (int k = 0; k < n; ++k) {
            const Ramp<S> ramp(S(e - (k + 1) * spacing), spacing);
            sum += (change[k] / spacing) * ramp.t;
        }
        return sum;
    }
    /// Integral of p from 0 to e.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S integral(const S& e) const noexcept {
        S sum = 0.5 * first_slope * e * e;
        for (int k = 0; k < n; ++k) {
            const Ramp<S> ramp(S(e - (k + 1) * spacing), spacing);
            sum += change[k] * ((1.0 / (6.0 * spacing)) * ramp.t * ramp.t * ramp.t +
                                0.5 * ramp.past * (spacing + ramp.past));
        }
        return sum;
    }

private:
    /// R of above by the part that is rounded, t in 0..h, and what lies past it.
    template <class S>
    struct Ramp {
        S t, past;

        CELLGRADE_INLINE Ramp(const S& x, double h) noexcept
            : t(select(x > 0.5 * h, S(h), select(x < -0.5 * h, S(0.0), S(x + 0.5 * h)))),
              past(select(x > 0.5 * h, S(x - 0.5 * h), S(0.0))) {}
    };
};

} // namespace cellgrade
