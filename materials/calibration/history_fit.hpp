// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/elastic_fit.hpp"
#include "materials/calibration/prony_fit.hpp"
#include "materials/calibration/relaxation_spectrum.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// A law, its damage and its Prony shares fitted to the same histories.
struct HistoryFit {
    ElasticFit elastic; ///< instantaneous; curves and AICc are those of both together
    PronyFit prony;     ///< times given, shares fitted
};

struct HistoryFitOptions {
    CurveWeighting weighting = CurveWeighting::PerCurve;
    int starts = 12;
    int most_terms = 8;
    double level = 0.95;
    SpectrumKind spectrum = SpectrumKind::Free;
    std::vector<double> times_s; ///< empty: relaxation_times_s or power_law_times_s of the window
    bool choose_terms = true;    ///< Free: by BIC; false: all of times_s
};

/// Joint least squares of instantaneous law and relaxation to stress over time.
///
///   S = S_vol + g_inf S_iso + sum_i Q_i     (Viscous; evaluated by coupon_stresses)
///   share_i = r_i/(1 + sum r), g_inf = 1/(1 + sum r), r_i free or a power law
///   (RelaxationSpectrum)
///
/// With damage (candidate.damage) S_iso is softened first (MullinsDamage); r, m and beta are fitted
/// with the law.
/// 1. Law parameters by least_squares, the branches projected out: for each trial their moduli are
///    the non-negative least squares of branch_stresses (variable projection).
/// 2. Free ones: branches that lower BIC = n ln(SS/n) + k ln n when left out go, one at a time,
///    and those beyond most_terms.
/// 3. All that is left together, from there, on the full response.
/// Intervals of law parameters as fit_elastic; of a share by linear propagation in its logit,
/// Student's t of n - p degrees of freedom. A term whose r is not determined has (0, 1).
/// Source: Golub & Pereyra (1973), SIAM J. Numer. Anal. 10, 413 (projection); Schwarz (1978), Ann.
/// Stat. 6, 461. Valid as fit_elastic; what is not recovered on unloading is taken as
/// relaxation or, if asked for, damage, never as flow.
/// @param coupons   with times, at least one UniaxialCycle; volumetric ones need none
/// @throws Error (input) for fewer rows than parameters + 2, or a value that must be given
[[nodiscard]] HistoryFit fit_histories(const LawCandidate& candidate,
                                       std::span<const Coupon> coupons,
                                       const FixedValues& fixed,
                                       const HistoryFitOptions& options);

} // namespace cellgrade
