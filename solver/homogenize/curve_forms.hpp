// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One parameter of a closed form and its 95 % interval, SI.
struct FormValue {
    std::string name; ///< ends in its unit
    double value = 0.0, low = 0.0, high = 0.0;
    bool determined = true; ///< false: the curve hardly tells it, the interval is no help
};

/// A closed form of a whole loading curve.
struct CurveForm {
    std::string name;    ///< "rusch", "gibson"
    std::string formula; ///< in the names of the values
    std::string source;
    std::vector<FormValue> values;
    double to_strain = 0.0; ///< errors are counted to here
    double area = 0.0;      ///< area between form and curve / area under the curve [-]
    double energy = 0.0;    ///< area under the form / under the curve, less 1 [-]
    double worst = 0.0;     ///< largest difference of stress / mean stress [-]

    /// Stress at a nominal strain [Pa].
    [[nodiscard]] double stress_Pa(double strain) const;
};

/// Rusch's form, two powers of strain:
///
///   s = A e^m + B e^n      0 <= m < 1 < n
///
/// Source: Rusch (1969), J. Appl. Polym. Sci. 13, 2297 (from memory). Infinite slope at rest for m
/// < 1, no densification strain: a form for energy, not for stiffness.
/// Fitted to all of the loading, each row over the larger of its stress and the mean to
/// `to_strain`, by bounded Levenberg-Marquardt from several first guesses; intervals of the
/// linearised problem (fit_elastic). They hold for scatter, and a form that does not bend as the
/// curve does leaves more than scatter: read them as the least doubt.
/// @param to_strain  errors are counted to here: the densification strain
/// @throws Error (Input) for a curve that is no curve, fewer than 8 rows, or mean stress not above
///         0
[[nodiscard]] CurveForm fit_rusch(const CrushCurve& curve, double to_strain);

/// Gibson and Ashby's three regions:
///
///   s = E e                                  e <= s_c / E
///   s = s_c ((e_d) / (e_d - (e - s_c/E)))^m    past it (1/D = m in the book)
///
/// elastic, plateau that densifies: straight up to the collapse stress s_c, then rising without
/// bound as e nears e_d + s_c/E. Source: Gibson & Ashby (1997), Cellular Solids, sec. 5.3 and 6
/// (densification form with the constants D and m; from memory); the strain is counted from
/// collapse here, so that the regions meet.
[[nodiscard]] CurveForm fit_gibson(const CrushCurve& curve, double to_strain);

} // namespace cellgrade
