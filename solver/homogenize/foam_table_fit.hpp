// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/prony.hpp"
#include "materials/laws/tabulated_foam.hpp"
#include "solver/homogenize/loading_branch.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// What a TabulatedFoam is fitted to: instantaneous nominal stress over strain.
struct FoamTable {
    std::vector<double> strain, stress_Pa;
    std::vector<double> weight; ///< over the stress scale [1/Pa]
    double void_fraction = 0.0;
    double knots_to = 0.0;         ///< strain of the last knot
    double mean_stress_Pa = 0.0;   ///< to the strain that counts
    double to_strain = 0.0;        ///< that counts
    std::vector<double> exponents; ///< of the closure, to choose from
};

/// The loading of a crush at a constant strain rate as FoamTable; formulae at fit_grade_law.
[[nodiscard]] FoamTable foam_table(const LoadingBranch& loading,
                                   std::span<const PronyTerm> prony,
                                   double strain_rate_per_s,
                                   double void_fraction,
                                   double to_strain);

struct FoamTableFit {
    TabulatedFoam law{};
    double misfit = 0.0; ///< root of the mean square of the weighted residuals [-]
    bool falls = false;  ///< the table falls by 5 % of its mean somewhere, where the law rises
};

/// The fit for a given Poisson's ratio at rest; formulae at fit_grade_law. 0.1 to 0.5 s.
[[nodiscard]] FoamTableFit fit_foam_table(const FoamTable& table, double poissons_ratio);

} // namespace cellgrade
