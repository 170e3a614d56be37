// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/power_law.hpp"

#include "materials/calibration/student_t.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

double PowerLaw::at(double x) const {
    return coefficient * std::pow(x, exponent);
}

PowerLaw fit_power_law(std::span<const double> x, std::span<const double> y, double level) {
    CELLGRADE_CHECK(x.size() == y.size(), "{} abscissae but {} ordinates", x.size(), y.size());
    const auto n = static_cast<double>(x.size());
    CELLGRADE_CHECK(x.size() >= 2, "a power law needs two points or more, {} given", x.size());
    double mean_x = 0.0, mean_y = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        CELLGRADE_CHECK(x[i] > 0.0 && y[i] > 0.0 && std::isfinite(x[i]) && std::isfinite(y[i]),
                        "point {} of a power law is ({}, {}); both must be above 0", i + 1, x[i],
                        y[i]);
        mean_x += std::log(x[i]) / n;
        mean_y += std::log(y[i]) / n;
    }
    double Sxx = 0.0, Sxy = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double dx = std::log(x[i]) - mean_x;
        Sxx += dx * dx;
        Sxy += dx * (std::log(y[i]) - mean_y);
    }
    CELLGRADE_CHECK(Sxx > 1e-12, "all {} points of a power law lie at {}", x.size(), x[0]);
    PowerLaw law;
    law.exponent = Sxy / Sxx;
    const double ln_C = mean_y - law.exponent * mean_x;
    law.coefficient = std::exp(ln_C);
    law.worst_share = 0.0;
    double squares = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        squares += std::pow(std::log(y[i] / law.at(x[i])), 2.0);
        law.worst_share = std::max(law.worst_share, std::abs(law.at(x[i]) / y[i] - 1.0));
    }
    if (x.size() < 3)
        return law;
    const double s = std::sqrt(squares / (n - 2.0)), t = student_t_factor(level, n - 2.0);
    const double half = t * s / std::sqrt(Sxx);
    const double half_ln_C = t * s * std::sqrt(1.0 / n + mean_x * mean_x / Sxx);
    law.exponent_low = law.exponent - half;
    law.exponent_high = law.exponent + half;
    law.coefficient_low = std::exp(ln_C - half_ln_C);
    law.coefficient_high = std::exp(ln_C + half_ln_C);
    return law;
}

} // namespace cellgrade
