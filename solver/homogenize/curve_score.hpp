// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/curve_branch.hpp"

#include <string>

namespace cellgrade {

/// Squares and product of a measured curve m and a computed one c, integrated over strain;
/// integrals of several branches may be added.
struct CurveProducts {
    double mm = 0.0; ///< integral of m^2 [Pa^2]
    double cc = 0.0; ///< integral of c^2 [Pa^2]
    double mc = 0.0; ///< integral of m c [Pa^2]

    CurveProducts& operator+=(const CurveProducts& other);
};

/// How far a computed curve is from a measured one; 0 where they are equal.
///
///   M = sqrt(int c^2 / int m^2) - 1                    size: 0.1 is 10 % too large
///   P = acos(int m c / sqrt(int m^2 int c^2)) / pi     shape, whatever the size; 1 is the mirror
///   C = sqrt(M^2 + P^2)
///
/// Source: Sprague & Geers (2004), Int. J. Numer. Methods Eng. 60, 2467, for histories over time;
/// taken over nominal strain here, a branch that loads and one that unloads each by itself. They
/// publish no limit for a good C, and none is set here.
struct CurveScore {
    double magnitude = 0.0; ///< M [-]
    double phase = 0.0;     ///< P [-]
    double combined = 0.0;  ///< C [-]
};

/// Integrals over a range that both cover, exact for straight lines between rows.
[[nodiscard]] CurveProducts
curve_products(const CurveBranch& measured, const CurveBranch& computed, const StrainRange& range);

/// NaN when one of the curves is zero throughout.
[[nodiscard]] CurveScore curve_score(const CurveProducts& products);

/// The definition and its source as text, to stand beside the numbers.
[[nodiscard]] const std::string& curve_score_definition();

} // namespace cellgrade
