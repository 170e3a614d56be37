// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_cell.hpp"

namespace cellgrade {

/// Relative density of the endless lattice of struts with filleted joints, the thickest of
/// `diameter` [m].
///
///     solid_fraction + (measure of the filleted field - measure of the plain field)
///
/// both by measure_below() on the same grids, so that their errors cancel where there is no fillet.
/// Without fillet it is solid_fraction(). The fillet's own volume is uncertain by about 2 %, the
/// density by less than 0.2 % (tests/unit/meshes/strut_solid_test.cpp). About 0.3 s.
/// @param fillet_radius [m]
[[nodiscard]] double
filleted_fraction(const StrutCell& cell, double diameter, double fillet_radius);

/// The diameter of the thickest strut at which the filleted cell has relative density `rb` [m].
/// Errors (input): a density out of reach; a fillet that alone exceeds the density.
[[nodiscard]] double filleted_diameter(const StrutCell& cell, double rb, double fillet_radius);

} // namespace cellgrade
