// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// How much of a cell is solid, measured on the real overlapping geometry.
struct SolidFraction {
    double relative_density = 0.0;    ///< volume of the union of the round struts / cell volume
    double centre_line_density = 0.0; ///< sum of A L / cell volume; overlaps counted repeatedly
    double overlap_share = 0.0;       ///< 1 - relative_density / centre_line_density
};

/// Solid fraction of the endless lattice of a cell, struts with rounded ends at the joints.
/// See RodUnion for the method; error below 0.1 % of the relative density up to 0.5.
/// @param diameters one a strut [m]
[[nodiscard]] SolidFraction solid_fraction(const StrutCell& cell,
                                           std::span<const double> diameters);

/// The strut diameter at which the cell has relative density `rb` [m].
///
/// For a cell with diameters of its own they grow in common and the diameter of the thickest is
/// returned: strut_diameters(cell, result) gives all of them. Newton's method on the volume with
/// its exact derivative (the free surface), kept inside a bracket.
///
/// Errors: rb not above 0; rb past the largest reachable one, at which the struts fill the cell
/// (their solid closes over every void), naming it.
[[nodiscard]] double diameter_for_density(const StrutCell& cell, double rb);

/// The scaled diameters of all struts at relative density `rb` [m].
[[nodiscard]] std::vector<double> diameters_for_density(const StrutCell& cell, double rb);

} // namespace cellgrade
