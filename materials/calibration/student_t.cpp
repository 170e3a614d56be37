// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/student_t.hpp"

#include <cmath>
#include <initializer_list>

namespace cellgrade {

namespace {

/// Continued fraction of the incomplete beta function, by the modified Lentz method.
double beta_fraction(double a, double b, double x) {
    constexpr double tiny = 1e-300;
    double c = 1.0, d = 1.0 - (a + b) * x / (a + 1.0);
    d = 1.0 / (std::abs(d) < tiny ? tiny : d);
    double value = d;
    for (int m = 1; m < 500; ++m) {
        const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
        const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        double factor = 1.0;
        for (const double term : {even, odd}) {
            d = 1.0 + term * d;
            c = 1.0 + term / c;
            d = 1.0 / (std::abs(d) < tiny ? tiny : d);
            c = std::abs(c) < tiny ? tiny : c;
            factor = c * d;
            value *= factor;
        }
        if (std::abs(factor - 1.0) < 1e-16)
            break;
    }
    return value;
}

double incomplete_beta(double a, double b, double x) {
    if (x <= 0.0 || x >= 1.0)
        return x <= 0.0 ? 0.0 : 1.0;
    const double front = std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) +
                                  a * std::log(x) + b * std::log1p(-x));
    if (x < (a + 1.0) / (a + b + 2.0))
        return front * beta_fraction(a, b, x) / a;
    return 1.0 - front * beta_fraction(b, a, 1.0 - x) / b;
}

} // namespace

double student_t_factor(double level, double freedom) {
    double low = 0.0, high = 1.0;
    const auto inside = [&](double t) {
        return 1.0 - incomplete_beta(0.5 * freedom, 0.5, freedom / (freedom + t * t));
    };
    while (inside(high) < level && high < 1e12)
        high *= 2.0;
    for (int n = 0; n < 200 && high - low > 1e-14 * high; ++n) {
        const double middle = 0.5 * (low + high);
        (inside(middle) < level ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

} // namespace cellgrade
