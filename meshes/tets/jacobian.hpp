// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>

namespace cellgrade {

/// Bezier coefficients of the Jacobian determinant of a quadratic tetrahedron over barycentric
/// coordinates, a cubic; all lie above 0 only where the element is nowhere inverted, their mean is
/// six volumes. Source: Johnen, Remacle and Geuzaine (2013), J. Comput. Phys. 233:359.
/// @param nodes  in the order of TetNodes [m]
/// @return [m^3]
[[nodiscard]] std::array<double, 20> jacobian_coefficients(const std::array<Vec3, 10>& nodes);

/// The smallest of them over the determinant with straight edges; 1 for straight edges with middles
/// half way.
[[nodiscard]] double smallest_jacobian_share(const std::array<Vec3, 10>& nodes);

/// Volume of a quadratic tetrahedron, exact: a sixth of the mean Bezier coefficient [m^3].
[[nodiscard]] double curved_volume(const std::array<Vec3, 10>& nodes);

} // namespace cellgrade
