// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/curve_edges.hpp"
#include "meshes/tets/linear_tets.hpp"

namespace cellgrade {

/// Moves the surface out or in by one small distance, so that the curved mesh holds `volume`: a
/// grade is its mass, and the mesh cuts convex edges and fills concave ones of a solid.
///
/// Surface nodes and the middles of surface edges go to the zero set of f - c, to first order,
///
///   x' = x + c g/|g|^2      g = grad f, without the axes that hold the node on sides
///
/// with the one c at which the volume is met; copies go with their originals. Where g is small
/// against its mean (the very edge of a crease) the move is the mean one.
/// @param most  largest mean move [m]; beyond it nothing is moved
/// @return c over the mean of |g|: how far the surface went outward [m]; 0 when it was not moved
[[nodiscard]] double match_volume(
    LinearTets& tets, EdgeMiddles& middles, const ImplicitSolid& solid, double volume, double most);

} // namespace cellgrade
