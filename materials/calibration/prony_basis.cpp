// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/prony_basis.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

double relaxation_answer(double t, double ramp, double tau) {
    if (std::isinf(tau))
        return ramp > 0.0 ? std::min(t, ramp) / ramp : 1.0;
    if (ramp <= 0.0)
        return std::exp(-t / tau);
    const double m = std::min(t, ramp);
    // tau (e^(-(t-m)/tau) - e^(-t/tau)) = tau e^(-(t-m)/tau) (1 - e^(-m/tau))
    return tau / ramp * std::exp(-(t - m) / tau) * -std::expm1(-m / tau);
}

} // namespace

Eigen::Index reading_count(const TimeCurve& c) {
    return static_cast<Eigen::Index>(c.modulus_Pa.size() + c.loss_Pa.size());
}

Eigen::VectorXd readings_of(const TimeCurve& c) {
    Eigen::VectorXd values(reading_count(c));
    const auto n = static_cast<Eigen::Index>(c.modulus_Pa.size());
    for (Eigen::Index i = 0; i < values.size(); ++i)
        values[i] = i < n ? c.modulus_Pa[static_cast<std::size_t>(i)]
                          : c.loss_Pa[static_cast<std::size_t>(i - n)];
    return values;
}

Eigen::VectorXd reading_sizes(const TimeCurve& c) {
    Eigen::VectorXd sizes(reading_count(c));
    const auto n = static_cast<Eigen::Index>(c.modulus_Pa.size());
    for (Eigen::Index i = 0; i < sizes.size(); ++i)
        sizes[i] = c.modulus_Pa[static_cast<std::size_t>(i % n)];
    return sizes;
}

Eigen::VectorXd branch_answer(const TimeCurve& c, double tau) {
    Eigen::VectorXd answer(reading_count(c));
    const auto n = static_cast<Eigen::Index>(c.time_s.size());
    for (Eigen::Index i = 0; i < n; ++i) {
        const double t = c.time_s[static_cast<std::size_t>(i)];
        if (c.kind == TimeCurve::Kind::Relaxation) {
            answer[i] = relaxation_answer(t, c.ramp_time_s, tau);
            continue;
        }
        const double x = tau / t; // time_s holds 1/omega
        answer[i] = std::isinf(x) ? 1.0 : x * x / (1.0 + x * x);
        answer[n + i] = std::isinf(x) ? 0.0 : x / (1.0 + x * x);
    }
    return answer;
}

} // namespace cellgrade
