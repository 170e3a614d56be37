// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/candidate.hpp"
#include "materials/calibration/coupon.hpp"

#include <Eigen/Core>

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// How curves of different height share one sum of squares.
enum class CurveWeighting {
    PerCurve, ///< each curve over its largest stress and the root of its number of rows
    Stress,   ///< every row alike, in stress
};

struct ElasticFitOptions {
    std::vector<PronyTerm> prony; ///< relaxation during the tests; empty: none
    CurveWeighting weighting = CurveWeighting::PerCurve;
    int starts = 12;
    double level = 0.95; ///< of the intervals
};

/// A value and its two-sided interval, SI.
struct FittedValue {
    std::string key; ///< of a card
    double to_SI = 1.0;
    double value = 0.0, low = 0.0, high = 0.0;
    bool fitted = false;    ///< false: fixed, low = high = value
    bool determined = true; ///< false: the data hardly tell it
};

/// One curve against the fit.
struct CurveFit {
    std::string name;
    std::vector<double> stress_Pa; ///< of the fit, one a row
    double rms_Pa = 0.0;
    double r_squared = 0.0; ///< 1 - SS / SS about the mean
    double rms_share = 0.0; ///< of the largest stress
};

/// A law fitted to all curves together.
struct ElasticFit {
    LawCandidate candidate;
    AnyLaw law;
    std::optional<MullinsDamage> damage; ///< fitted with it (fit_histories)
    std::vector<FittedValue> values;     ///< all parameters, in the law's order; then damage
    std::vector<std::string> free_keys;  ///< order of the correlations
    Eigen::MatrixXd correlation;
    std::vector<CurveFit> curves;
    double aicc = 0.0; ///< HUGE_VAL with too few rows
    int starts = 0, agreeing = 0;
    double autocorrelation = 0.0; ///< of neighbouring residuals; near 1: the law does not bend so
    std::vector<std::string> undetermined; ///< directions the data do not tell, by parameters
};

/// Joint weighted least squares of one candidate.
///
///   minimise sum_c sum_i [w_c (P(stretch_i) - P_i) / scale_c]^2
///   cov = sum_c V_c,  V_c = s_c^2 A^-1 J_c^T J_c A^-1,  A = J^T J,
///   s_c^2 = SS_c / f_c,  f_c = n_c - trace(A^-1 J_c^T J_c)
///   interval = x +- t cov^(1/2) on the natural scale (logarithm of a positive parameter),
///   t of (sum V_c)^2 / sum (V_c^2 / f_c) degrees of freedom
///   AICc = n ln(SS/n) + 2 k + 2 k (k + 1)/(n - k - 1),  k = p + 1
///
/// The covariance holds for curves of different scatter under any weights.
/// Source: Seber & Wild (1989), Nonlinear Regression, ch. 2; White (1980), Econometrica 48, 817
/// (sandwich form); Satterthwaite (1946), Biometrics Bull. 2, 110 (degrees of freedom); Hurvich &
/// Tsai (1989), Biometrika 76, 297 (AICc). Valid for scatter that is independent from row to row:
/// see autocorrelation.
/// @throws Error (input) for fewer rows than parameters + 2, or a value that must be given
[[nodiscard]] ElasticFit fit_elastic(const LawCandidate& candidate,
                                     std::span<const Coupon> coupons,
                                     const FixedValues& fixed,
                                     const ElasticFitOptions& options);

/// Shear modulus that the first part of the curves suggests, for ranges of first guesses [Pa].
[[nodiscard]] double rough_shear_modulus_Pa(std::span<const Coupon> coupons);

/// Stress / strain of the first tenth of a curve, by least squares through rest [Pa].
[[nodiscard]] double first_slope_Pa(const Coupon& coupon);

/// Curves of a law against coupons, nothing fitted.
[[nodiscard]] std::vector<CurveFit> compare_curves(const AnyLaw& law,
                                                   std::span<const PronyTerm> prony,
                                                   std::span<const Coupon> coupons,
                                                   const std::optional<MullinsDamage>& damage = {});

} // namespace cellgrade
