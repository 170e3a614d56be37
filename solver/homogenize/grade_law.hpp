// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"
#include "solver/homogenize/column_path.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One crush of a grade, for its law.
struct GradeTest {
    std::string name; ///< in messages and tables
    CrushCurve curve; ///< with columns of shear: pressed first, sheared at that height
    double strain_rate_per_s = 0.0;
    double to_strain = 0.0; ///< error is counted to here: the densification strain, or the end
};

/// What is known of a grade before its law is fitted; SI.
struct GradeLawInput {
    std::string name;              ///< of the card
    double relative_density = 0.0; ///< the void of the law is what is left of 1
    double density_kg_per_m3 = 0.0;
    std::vector<PronyTerm> prony; ///< of the polymer; empty: the law holds at one rate only
    std::string prony_source;     ///< for the card
    std::optional<double> friction_on_itself, friction_on_platen; ///< of the polymer
    GradeTest compression;           ///< that is fitted, with or without unloading
    std::vector<GradeTest> shear;    ///< fitted by the shear tables
    std::vector<GradeTest> compared; ///< compressions at other rates: compared, not fitted
};

/// How far a law is from one branch of a test.
struct BranchError {
    std::string name;
    bool fitted = true;
    double to_strain = 0.0; ///< counted to here; shear: of the shear strain
    double area = 0.0;      ///< area between the curves / area under the test's [-]
    double energy = 0.0;    ///< area under the law's curve / under the test's, less 1 [-]
    double worst = 0.0;     ///< largest difference of stress / mean stress of the test [-]
};

/// Difference of two curves over the same strains, rising or falling. Areas by trapezoids.
[[nodiscard]] BranchError branch_error(std::string name,
                                       std::span<const double> strain,
                                       std::span<const double> test_Pa,
                                       std::span<const double> law_Pa);

/// A law of a homogenised grade and how good it is.
struct GradeLaw {
    PolymerCard card; ///< of a TabulatedFoam; goes into every solver that takes polymers
    std::vector<BranchError> branches;
    double elliptic_to = 0.0;     ///< strain of the fitted curve up to which no band can form
    double relative_misfit = 0.0; ///< root of the mean square of the weighted residuals [-]
    std::vector<std::string> notes;
};

/// Fits a TabulatedFoam with void fraction 1 - relative density to a grade's crushes.
///
///   P_0 = stretch * instantaneous_stress(P / stretch)             what the law must answer
///   P_0 = sum_k m_k T_k(e) + D t^2 y^n / (1 - y) - L (J - 1) t^2    J = (1 - e) t^2
///   minimise sum_i [w (fit - P_0) / max(P_0, mean)]^2   over m_k >= m_least, D >= mean / 10,
///   n of 2 to 20 as far as the end of the curve tells it apart
///
/// with t the lateral stretch that frees the sides, iterated, and w = 0.3 past `to_strain`. Each
/// pass is a linear problem for non-negative unknowns, so its minimum is the only one. 24 knots
/// over the strain to `to_strain` and a tenth past it; what lies further is the closing void's.
/// m_least is 1.2 times the slope at which the column would buckle inside (TabulatedFoam), so the
/// law is stable and cannot follow a curve that falls: it passes evenly through a peak and the
/// trough behind it.
///
/// Shear tests give the law its shear tables (fit_cubic_shear), which compression does not feel.
/// They are about the axes of the specimen: of a cell crushed along [001] its cubic axes, for any
/// other direction those of that specimen, one shear of which was tested. L is 0: no lateral growth
/// under compression is usual of open foams past collapse (Gibson & Ashby 1997, ch. 5, from
/// memory), and a crush does not record it.
/// With unloading in the curve a MullinsDamage is fitted to it; healing and set are not in the law.
/// A second without shear and unloading, a few with them.
/// @throws Error (Input) for a density not in (0, 1), a curve that is no curve or without a
///         positive mean stress
[[nodiscard]] GradeLaw fit_grade_law(const GradeLawInput& input);

} // namespace cellgrade
