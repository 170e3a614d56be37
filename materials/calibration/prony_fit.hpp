// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"
#include "materials/laws/prony.hpp"

#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// A term of a fitted series with its intervals.
struct FittedTerm {
    PronyTerm term;
    double share_low = 0.0, share_high = 0.0;
    double time_low_s = 0.0, time_high_s = 0.0; ///< equal when times were not fitted
};

struct PronyFitOptions {
    int most_terms = 8;       ///< a card's law at a point holds eight
    bool fit_times = true;    ///< move the times after the non-negative fit
    bool choose_count = true; ///< by BIC among 1..most_terms; false: most_terms, less empty ones
    double level = 0.95;      ///< of the intervals
};

/// Relaxation function fitted to curves at one temperature.
struct PronyFit {
    double instantaneous_modulus_Pa = 0.0; ///< E_inf + sum E_i, extrapolated to time 0
    double instantaneous_low_Pa = 0.0, instantaneous_high_Pa = 0.0;
    std::vector<FittedTerm> terms; ///< rising times, of the instantaneous modulus
    double rms_share = 0.0;        ///< residual over the data, root mean square
    double largest_share = 0.0;    ///< the largest
    std::vector<double> scales; ///< modulus of each curve over that of the fit (specimens differ)
    double time_min_s = 0.0, time_max_s = 0.0; ///< of the data
    std::vector<std::string> notes;

    [[nodiscard]] std::vector<PronyTerm> prony() const;
};

/// Non-negative Prony series of relaxation and frequency curves together.
///
///   step       E(t) = E_inf + sum E_i e^(-t/tau_i)
///   ramp to t1 E(t) = (1/t1) [E_inf m + sum E_i tau_i (e^(-(t-m)/tau_i) - e^(-t/tau_i))],
///              m = min(t, t1): stress over the held strain, also during the ramp
///   frequency  E' = E_inf + sum E_i x^2/(1 + x^2), E'' = sum E_i x/(1 + x^2), x = omega tau_i
///
/// Residuals are relative to the data (loss: to the storage modulus). First tau_i evenly in log
/// time over the data and E_i >= 0 by non_negative_least_squares; then, if asked, all of them moved
/// by least squares in their logarithms. Share_i = E_i / (E_inf + sum E). Intervals: those of
/// fit_intervals, by the linear law of error propagation in ln share.
/// The count of terms has the least BIC = n ln(SS/n) + k ln n (Schwarz 1978, Ann. Stat. 6, 461).
/// Data that show no plateau leave E_inf open: it is held at 0.1 % of the smallest reading, noted.
/// Source: Ferry (1980), Viscoelastic Properties of Polymers, ch. 3 and 4 (terms); references D13
/// (ramp).
/// @throws Error (input) for fewer than four readings
[[nodiscard]] PronyFit fit_prony(std::span<const TimeCurve> curves, const PronyFitOptions& options);

/// Modulus of a fit at the readings of a curve: relaxation or storage modulus [Pa].
[[nodiscard]] std::vector<double> prony_modulus_Pa(const PronyFit& fit, const TimeCurve& curve);

} // namespace cellgrade
