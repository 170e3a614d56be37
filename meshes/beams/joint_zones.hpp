// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_net.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// Length over which each strut lies inside its neighbours, at its two ends [m].
///
/// Two round struts of radii r_i, r_j that meet at angle theta part from one another, on the side
/// where they face each other, at
///
///   x = (r_i cos(theta) + r_j) / sin(theta)        = r / tan(theta / 2) for equal radii
///
/// from the node, measured on strut i. The zone of i is the largest x over its neighbours, which
/// is that of the smallest angle, and at most a quarter of the strut. Nothing at flat cut ends and
/// where a strut only goes on straight.
///
/// Source: geometry of two cylinders; that joints need zones of their own in beam models: Luxner,
/// Stampfl and Pettermann 2005, J Mater Sci 40:5859 (stiffer joint elements); Smith, Guan and
/// Cantwell 2013, Int J Mech Sci 67:28 (thicker struts near the nodes); both from memory.
[[nodiscard]] std::vector<std::array<double, 2>> joint_zones(const StrutNet& net);

} // namespace cellgrade
