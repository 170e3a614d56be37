// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/tet_mesh.hpp"
#include "solver/core/log.hpp"

namespace cellgrade {

/// Every mesh of mesh_solid() has dihedral angles above this, or is refused [rad]: 5 degrees.
inline constexpr double least_dihedral = 0.0872665;

struct TetOptions {
    /// Edge of the grid cubes [m]; at most a third of a period. 0: `narrowest` of the solid over
    /// `across`.
    double element_size = 0.0;
    double across = 2.0;    ///< grid cubes across the narrowest wall or strut
    bool curved = true;     ///< edge middles on the zero set; else straight edges
    double volume = 0.0;    ///< that fit_volume() gives the mesh [m^3]; 0: as it comes
    double low_share = 0.4; ///< heights below this share of a cube are raised; 0: none
};

/// Quadratic tetrahedra of an implicit solid: stuff(), improve_tets(), curve_edges().
///
/// Fillets of less than half a cube are meshed as the sharp creases that they round.
/// Cut planes at the box are flat, periodic sides match node by node, surface nodes lie on the zero
/// set. Parts that hang together with nothing are dropped and told when they are small.
/// Time and memory grow linearly with the cubes of the box.
/// Errors (input): no element size, more than `most_tets` tetrahedra expected, a solid too thin
/// for the elements or in parts, a field that is not finite.
[[nodiscard]] TetMesh
mesh_solid(const ImplicitSolid& given, const TetOptions& options, const Log& log = {});

} // namespace cellgrade
