// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/elastic_fit.hpp"

#include "materials/calibration/coupon_response.hpp"
#include "materials/calibration/fit_intervals.hpp"
#include "materials/calibration/joint_curves.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

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

} // namespace

double first_slope_Pa(const Coupon& coupon) {
    const double rest = rest_stretch(coupon.mode);
    double furthest = 0.0;
    for (const double l : coupon.stretch)
        furthest = std::max(furthest, std::abs(l - rest));
    double xy = 0.0, xx = 0.0;
    for (std::size_t i = 0; i < coupon.stretch.size(); ++i) {
        const double e = coupon.stretch[i] - rest;
        if (coupon.mode == CouponMode::UniaxialCycle && std::abs(e) >= furthest && xx > 0.0)
            break; // only the way there
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
                                     std::span<const Coupon> coupons,
                                     const std::optional<MullinsDamage>& damage) {
    std::vector<CurveFit> fits;
    for (const Coupon& c : coupons) {
        CurveFit fit{.name = c.name,
                     .stress_Pa = coupon_stresses(law, prony, c.mode, c.stretch, c.time_s, damage)};
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

ElasticFit fit_elastic(const LawCandidate& candidate,
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
