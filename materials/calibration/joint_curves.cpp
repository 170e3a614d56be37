// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/joint_curves.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

double largest_stress(const Coupon& coupon) {
    double largest = 0.0;
    for (const double P : coupon.stress_Pa)
        largest = std::max(largest, std::abs(P));
    return largest;
}

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

} // namespace cellgrade
