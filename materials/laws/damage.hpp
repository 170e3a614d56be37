// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/lane_erf.hpp"

#include <numbers>

namespace cellgrade {

/// Softening of a point that was strained further before (Mullins effect), on the isochoric stress:
///
///   S_iso -> eta S_iso      eta = 1 - erf((W_max - W)/a)/r      a = m + beta W_max
///
/// W is the isochoric energy of the law at the present shape, W_max the largest it ever was. While
/// W grows past W_max nothing changes (eta = 1); below it the stress follows a softer path, the
/// same on unloading and on loading again, up to W_max. At most 1/r of the stress is lost. With
/// Prony terms it is the instantaneous stress that softens, and the softened stress that relaxes.
/// Volume stays elastic. Rate and rest do not heal it.
///
/// What can be got back by unloading, and what is lost for good when W_max grows:
///
///   stored = W - (a/r)(G(W_max/a) - G((W_max - W)/a))     G(x) = x erf x + (e^(-x^2) - 1)/sqrt(pi)
///   lost   = W - stored at W = W_max, which grows with W_max for any r > 1, m > 0, beta >= 0
///
/// Source: Ogden & Roxburgh (1999), Proc. R. Soc. A 455, 2861; beta W_max in `a` is common practice
/// since (from memory), which keeps the share lost alike at all strains; `stored` integrated here.
struct MullinsDamage {
    double r;    ///< 1 / share of stress that can be lost at most [-], > 1
    double m;    ///< energy scale at small strain [J/m^3], > 0
    double beta; ///< energy scale that grows with W_max [-], >= 0

    bool operator==(const MullinsDamage&) const = default;

    /// Throws an input Error naming the value, as a card's key, and its range.
    void check() const;

    /// eta, on double or Pack. 90 flops.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S kept(const S& W, const S& W_max) const noexcept {
        return 1.0 - (1.0 / r) * lane::error_function(below(W, W_max)).erf;
    }
    /// `stored` [J/m^3], on double or Pack; as W times a mean of eta, so that it keeps its relative
    /// error near rest.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S stored(const S& W, const S& W_max) const noexcept {
        const S w = W / scale(W_max), from = below(W, W_max), to = from + w;
        return W *
               (1.0 - (1.0 / r) * select(w > narrow, difference(from, to, w), simpson(from, to)));
    }
    /// Lost for good at a largest energy [J/m^3].
    [[nodiscard]] double lost(double W_max) const noexcept { return W_max - stored(W_max, W_max); }
    /// Upper bound of d(eta)/dW at any W_max >= W [m^3/J]: what unloading adds to a stiffness,
    /// times the square of the stress along its direction.
    [[nodiscard]] double steepest(double W) const noexcept {
        return 2.0 * std::numbers::inv_sqrtpi / (r * scale(W));
    }

private:
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S scale(const S& W_max) const noexcept {
        return m + beta * W_max;
    }
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE S below(const S& W, const S& W_max) const noexcept {
        return (W_max - W) / scale(W_max);
    }
    static constexpr double narrow = 1e-3; ///< below: simpson() is within 2e-15, the other 1e-13

    /// Mean of erf over from .. to, w apart: by its integral G, which loses digits where w is
    /// small.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static S
    difference(const S& from, const S& to, const S& w) noexcept {
        return (area_under_erf(to) - area_under_erf(from)) / select(w > narrow, w, S(narrow));
    }
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static S simpson(const S& from, const S& to) noexcept {
        return (1.0 / 6.0) * (lane::error_function(from).erf + lane::error_function(to).erf +
                              4.0 * lane::error_function(S(0.5 * (from + to))).erf);
    }
    /// G; x above 6 counts in full.
    template <class S>
    [[nodiscard]] CELLGRADE_INLINE static S area_under_erf(const S& x) noexcept {
        const lane::ErrorFunction<S> at = lane::error_function(x);
        return x * at.erf + (at.gauss - 1.0) * std::numbers::inv_sqrtpi;
    }
};

} // namespace cellgrade
