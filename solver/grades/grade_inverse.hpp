// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_curves.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Densities whose interpolated curve has a wanted plateau stress: none, one, or several where the
/// plateau stress does not rise with density throughout.
struct DensityForStress {
    std::vector<double> densities; ///< rising
    std::string why_none;          ///< with the plateau stresses that there are; empty: some found
};

/// Densities that absorb an energy below a stress limit, in one piece.
struct AbsorbingRange {
    double from = 0.0, to = 0.0;     ///< relative density
    bool from_is_table_end = false;  ///< lighter grades are not in the table
    bool to_is_table_end = false;    ///< denser ones are not
    double best = 0.0;               ///< density that absorbs most below the limit
    AbsorbedEnergy at_from, at_best; ///< forward evaluations
};

/// Grades that do, and what is the most when none does.
struct DensityForEnergy {
    std::vector<AbsorbingRange> ranges; ///< rising; empty: none
    std::string why_none;
    double best = 0.0; ///< density that absorbs most below the limit, wherever that is
    AbsorbedEnergy at_best;
};

/// The density of a wanted plateau stress (mean over 20 to 40 % strain), inside the table.
///
/// Crossings are looked for between 97 densities, evenly on a logarithm, and bisected to rounding;
/// each is put back into GradeCurves::curve_at() and meets the stress to a share of 1e-9.
/// @param at its relative density is not read
/// @throws Error (Input) where the curves end before 40 % strain, or as curve_at()
[[nodiscard]] DensityForStress
density_for_plateau(const GradeCurves& curves, double plateau_stress_Pa, const GradePoint& at = {});

/// The densities that absorb an energy per volume before their stress passes a limit: too light a
/// grade densifies before, too dense a one collapses above the limit, so there may be none. A curve
/// that ends below the limit counts with what it has absorbed until then.
///
/// Looked for as above; ends of a range are bisected to a share of 1e-9 of density, and lie on the
/// side that absorbs enough. A range narrower than the 97 densities are apart may be missed.
/// @param at its relative density is not read
[[nodiscard]] DensityForEnergy density_for_energy(const GradeCurves& curves,
                                                  double energy_J_per_m3,
                                                  double stress_limit_Pa,
                                                  const GradePoint& at = {});

} // namespace cellgrade
