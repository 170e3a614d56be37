// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/elastic_fit.hpp"

#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/fit_intervals.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

double largest_stress(const Coupon& coupon) {
    double largest = 0.0;
    for (const double P : coupon.stress_Pa)
        largest = std::max(largest, std::abs(P));
    return largest;
}

/// Weight over scale of each curve: residuals are of order 1 for no fit at all.
std::vector<double> curve_factors(std::span<const Coupon> coupons, CurveWeighting weighting) {
    double tallest = 0.0;
    for (const Coupon& c : coupons)
        tallest = std::max(tallest, largest_stress(c));
    std::vector<double> factors;
    for (const Coupon& c : coupons) {
        const auto n = static_cast<double>(c.stress_Pa.size());
        factors.push_back(c.weight * (weighting == CurveWeighting::Stress
                                          ? 1.0 / tallest
                                          : 1.0 / (largest_stress(c) * std::sqrt(n))));
    }
    return factors;
}

Eigen::Index row_count(std::span<const Coupon> coupons) {
    std::size_t n = 0;
    for (const Coupon& c : coupons)
        n += c.stress_Pa.size();
    return static_cast<Eigen::Index>(n);
}

Residuals residuals_of(const CandidateLaw& model,
                       std::span<const Coupon> coupons,
                       const ElasticFitOptions& options) {
    return [&model, coupons, &options, factors = curve_factors(coupons, options.weighting)](
               const Eigen::VectorXd& natural, Eigen::VectorXd& residual) {
        const AnyLaw law = model.law(natural);
        Eigen::Index row = 0;
        for (std::size_t c = 0; c < coupons.size(); ++c) {
            const Coupon& coupon = coupons[c];
            const std::vector<double> P =
                coupon_stresses(law, options.prony, coupon.mode, coupon.stretch, coupon.time_s);
            for (std::size_t i = 0; i < P.size(); ++i)
                residual[row++] = factors[c] * (P[i] - coupon.stress_Pa[i]);
        }
    };
}

std::vector<Eigen::Index> curve_ends(std::span<const Coupon> coupons) {
    std::vector<Eigen::Index> ends;
    for (const Coupon& c : coupons)
        ends.push_back((ends.empty() ? 0 : ends.back()) +
                       static_cast<Eigen::Index>(c.stress_Pa.size()));
    return ends;
}

double corrected_information(double sum_of_squares, Eigen::Index rows, Eigen::Index variables) {
    const auto n = static_cast<double>(rows), k = static_cast<double>(variables) + 1.0;
    if (n - k - 1.0 <= 0.0)
        return HUGE_VAL;
    return n * std::log(std::max(sum_of_squares, 1e-300) / n) + 2.0 * k +
           2.0 * k * (k + 1.0) / (n - k - 1.0);
}

/// Of residuals that follow one another in a curve, about zero.
double lag_one(const Eigen::VectorXd& residual, const std::vector<Eigen::Index>& ends) {
    double product = 0.0, square = 0.0;
    Eigen::Index first = 0;
    for (const Eigen::Index end : ends) {
        for (Eigen::Index i = first + 1; i < end; ++i)
            product += residual[i] * residual[i - 1];
        square += residual.segment(first, end - first).squaredNorm();
        first = end;
    }
    return square > 0.0 ? product / square : 0.0;
}

std::vector<FittedValue>
values_of(const CandidateLaw& model, const AnyLaw& law, const FitIntervals& intervals) {
    std::vector<FittedValue> values;
    for (const LawValue& v : law_values(law))
        values.push_back({std::string(v.key), v.to_SI, v.value, v.value, v.value});
    for (std::size_t k = 0; k < model.places().size(); ++k) {
        FittedValue& v = values[model.places()[k]];
        v.fitted = true;
        v.low = intervals.low[k];
        v.high = intervals.high[k];
        v.determined = intervals.determined[k];
    }
    return values;
}

} // namespace

double first_slope_Pa(const Coupon& coupon) {
    const double rest = rest_stretch(coupon.mode);
    double furthest = 0.0;
    for (const double l : coupon.stretch)
        furthest = std::max(furthest, std::abs(l - rest));
    double xy = 0.0, xx = 0.0;
    for (std::size_t i = 0; i < coupon.stretch.size(); ++i) {
        const double e = coupon.stretch[i] - rest;
        if (std::abs(e) > 0.1 * furthest && xx > 0.0)
            continue;
        xy += e * coupon.stress_Pa[i];
        xx += e * e;
    }
    return xx > 0.0 ? xy / xx : 0.0;
}

double rough_shear_modulus_Pa(std::span<const Coupon> coupons) {
    // Slope at rest over shear modulus, incompressible: E = 3 mu; biaxial 6 mu, planar 4 mu.
    double sum = 0.0;
    int n = 0;
    for (const Coupon& c : coupons) {
        double per_shear = 3.0;
        if (c.mode == CouponMode::Equibiaxial)
            per_shear = 6.0;
        if (c.mode == CouponMode::Planar)
            per_shear = 4.0;
        if (c.mode == CouponMode::SimpleShear)
            per_shear = 1.0;
        const double mu = first_slope_Pa(c) / per_shear;
        if (c.mode == CouponMode::Volumetric || !(mu > 0.0))
            continue;
        sum += std::log(mu);
        ++n;
    }
    CELLGRADE_CHECK(n > 0, "no test from which a shear modulus can be read: one of tension, "
                           "compression, equibiaxial, planar or shear is needed");
    return std::exp(sum / n);
}

std::vector<CurveFit> compare_curves(const AnyLaw& law,
                                     std::span<const PronyTerm> prony,
                                     std::span<const Coupon> coupons) {
    std::vector<CurveFit> fits;
    for (const Coupon& c : coupons) {
        CurveFit fit{.name = c.name,
                     .stress_Pa = coupon_stresses(law, prony, c.mode, c.stretch, c.time_s)};
        double mean = 0.0, squares = 0.0, spread = 0.0;
        const auto n = static_cast<double>(c.stress_Pa.size());
        for (const double P : c.stress_Pa)
            mean += P / n;
        for (std::size_t i = 0; i < c.stress_Pa.size(); ++i) {
            squares += std::pow(fit.stress_Pa[i] - c.stress_Pa[i], 2);
            spread += std::pow(c.stress_Pa[i] - mean, 2);
        }
        fit.rms_Pa = std::sqrt(squares / n);
        fit.r_squared = spread > 0.0 ? 1.0 - squares / spread : 0.0;
        fit.rms_share = fit.rms_Pa / largest_stress(c);
        fits.push_back(std::move(fit));
    }
    return fits;
}

ElasticFit fit_elastic(const Candidate& candidate,
                       std::span<const Coupon> coupons,
                       const FixedValues& fixed,
                       const ElasticFitOptions& options) {
    const CandidateLaw model(candidate, fixed, rough_shear_modulus_Pa(coupons));
    const Eigen::Index n = row_count(coupons);
    const auto p = static_cast<Eigen::Index>(model.variables().size());
    CELLGRADE_CHECK(n >= p + 2, "{}: {} rows of data for {} parameters; at least {} are needed",
                    candidate.name(), n, p, p + 2);
    const LeastSquares best = least_squares(
        model.variables(), residuals_of(model, coupons, options), n, p > 1 ? options.starts : 2);
    const AnyLaw law = model.law(best.natural);
    const std::vector<Eigen::Index> ends = curve_ends(coupons);
    ElasticFit fit{.candidate = candidate, .law = law};
    for (const std::size_t place : model.places())
        fit.free_keys.emplace_back(law_values(law)[place].key);
    const FitIntervals intervals =
        fit_intervals(model.variables(), fit.free_keys, best, ends, options.level);
    fit.values = values_of(model, law, intervals);
    fit.correlation = intervals.correlation;
    fit.undetermined = intervals.undetermined;
    fit.curves = compare_curves(law, options.prony, coupons);
    fit.aicc = corrected_information(best.sum_of_squares, n, p);
    fit.starts = best.starts;
    fit.agreeing = best.agreeing;
    fit.autocorrelation = lag_one(best.residual, ends);
    return fit;
}

} // namespace cellgrade
