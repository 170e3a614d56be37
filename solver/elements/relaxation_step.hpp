// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/prony.hpp"

#include <array>
#include <cmath>
#include <span>

namespace cellgrade {

inline constexpr int max_prony_terms = 16;

/// Coefficients of the Prony recurrence over one step, the same for all points and channels:
///
///   q(t + dt) = decay q(t) + gain (P0(t + dt) - P0(t))     decay = a^2, gain = share a,
///   a = exp(-dt / (2 time))
///
/// Source: materials/laws/viscous.hpp.
struct Relaxation {
    int n_terms = 0;
    double long_share = 1.0;
    std::array<double, max_prony_terms> decay{}, gain{}, per_share{};

    Relaxation(std::span<const PronyTerm> terms, double dt) noexcept
        : n_terms(static_cast<int>(terms.size())) {
        for (int k = 0; k < n_terms; ++k) {
            const double half = std::exp(-0.5 * dt / terms[k].time_s);
            decay[k] = half * half;
            gain[k] = terms[k].share * half;
            per_share[k] = 1.0 / terms[k].share;
            long_share -= terms[k].share;
        }
    }
};

} // namespace cellgrade
