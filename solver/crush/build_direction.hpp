// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_setup.hpp"

namespace cellgrade {

/// Gives a setup the stiffness of a print that was built up along an axis of the specimen.
///
/// Beams: every element is scaled by factor_at_angle() of its own axis, in all its forces and
/// moments: its normal stress runs along the strut. Of shear and torsion of a stubby strut that is
/// an approximation.
/// Solids: the whole law is scaled by factor_at_angle() of the direction of loading, z. What a
/// part of the solid sees lies anywhere between the factor and 1, so [factor, 1] / (the scale used)
/// bounds the elastic stiffness: a solid that is nowhere softer is not softer as a whole
/// (Rayleigh's monotony, from memory). Of collapse and plateau the same band is an estimate: with
/// uneven stiffness a cell may fold in another shape.
///
/// @param factor  along the build direction / in the layer plane, for which the card stands [-]
/// @param axis    0, 1, 2: x, y, z of the specimen
void set_build_direction(CrushSetup& setup, double factor, int axis);

} // namespace cellgrade
