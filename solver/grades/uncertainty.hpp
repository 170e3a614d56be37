// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <limits>
#include <string>

namespace cellgrade {

/// Where the doubt about a trait comes from.
enum class DoubtPart {
    Mesh,     ///< elements too large: from two or three refinements
    Specimen, ///< too few cells: from a larger specimen
    Rate,     ///< inertia of a slow run, or the rate itself: from a run at half the platen speed
    Friction, ///< on platens and struts: from its other plausible values
    Polymer,  ///< the fit of the card: from its parameters' intervals
    Print,    ///< scatter of the printer: from imperfect specimens by seed
};

inline constexpr std::array<const char*, 6> doubt_part_names{"mesh",     "specimen", "rate",
                                                             "friction", "polymer",  "print"};

/// Standard uncertainty of one trait, in the trait's own unit, by part; NaN: not estimated.
struct TraitUncertainty {
    static constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
    std::array<double, 6> parts{unknown, unknown, unknown, unknown, unknown, unknown};
    double extrapolated = unknown;  ///< value at elements of no size (Richardson)
    double mesh_order = unknown;    ///< observed order of convergence [-]
    double settled_cells = unknown; ///< cells across from which the trait moves less than its doubt

    /// Root of the sum of squares of the parts that were estimated; NaN when none was.
    [[nodiscard]] double combined() const;
    /// "mesh, rate": the parts that were not estimated; empty when all were.
    [[nodiscard]] std::string missing() const;
};

} // namespace cellgrade
