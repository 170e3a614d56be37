// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/curve_score.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace cellgrade {

CurveProducts& CurveProducts::operator+=(const CurveProducts& other) {
    mm += other.mm;
    cc += other.cc;
    mc += other.mc;
    return *this;
}

CurveProducts
curve_products(const CurveBranch& measured, const CurveBranch& computed, const StrainRange& range) {
    CurveProducts sum;
    const std::vector<double> strains = common_strains({&measured, &computed}, range);
    double m0 = measured.at(strains.front()), c0 = computed.at(strains.front());
    for (std::size_t i = 1; i < strains.size(); ++i) {
        const double h = strains[i] - strains[i - 1];
        const double m1 = measured.at(strains[i]), c1 = computed.at(strains[i]);
        // the integral of a product of two straight lines
        sum.mm += h / 3.0 * (m0 * m0 + m0 * m1 + m1 * m1);
        sum.cc += h / 3.0 * (c0 * c0 + c0 * c1 + c1 * c1);
        sum.mc += h / 6.0 * (2.0 * m0 * c0 + m0 * c1 + m1 * c0 + 2.0 * m1 * c1);
        m0 = m1;
        c0 = c1;
    }
    return sum;
}

CurveScore curve_score(const CurveProducts& p) {
    constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    if (!(p.mm > 0.0 && p.cc > 0.0))
        return {unknown, unknown, unknown};
    CurveScore score;
    score.magnitude = std::sqrt(p.cc / p.mm) - 1.0;
    const double cosine = p.mc / (std::sqrt(p.mm) * std::sqrt(p.cc));
    score.phase = std::acos(std::clamp(cosine, -1.0, 1.0)) / std::numbers::pi;
    score.combined = std::hypot(score.magnitude, score.phase);
    return score;
}

const std::string& curve_score_definition() {
    static const std::string text =
        "M = sqrt(int c^2 / int m^2) - 1, P = acos(int m c / sqrt(int m^2 int c^2)) / pi, "
        "C = sqrt(M^2 + P^2); c computed, m mean of the measured, over the nominal strain that "
        "both cover; overall: the integrals of loading and unloading added. Sprague & Geers "
        "(2004), Int. J. Numer. Methods Eng. 60, 2467, there over time. 0 is equal; no limit for "
        "a good C is published";
    return text;
}

} // namespace cellgrade
