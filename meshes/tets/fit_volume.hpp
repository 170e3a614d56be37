// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/curve_edges.hpp"
#include "meshes/tets/linear_tets.hpp"

namespace cellgrade {

/// What fit_volume() had to do.
struct VolumeFit {
    double shift = 0.0; ///< mean way of the surface along its outward normal [m]
    double error = 0.0; ///< volume of the mesh / wanted - 1, after the fit
};

/// Curves the edges (curve_edges()), then moves the surface to f = s, s constant, until the mesh
/// has the volume wanted within 0.05 %, by Newton's method with
///
///     dV/ds = integral of dA / |grad f|      mean shift = s (integral of dA / |grad f|) / area
///
/// Nodes move one by one, each only where no tetrahedron around gets a dihedral angle below 15
/// degrees by it; sides stay flat. Ends early when the mean shift would pass `most`: the caller
/// judges by the error.
/// @param wanted  [m^3]
/// @param most    [m]
[[nodiscard]] VolumeFit fit_volume(
    LinearTets& mesh, EdgeMiddles& middles, const ImplicitSolid& solid, double wanted, double most);

} // namespace cellgrade
