// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/tet_mesh.hpp"

namespace cellgrade {

/// How good a mesh is, and how true to the solid.
struct TetQuality {
    Index n_tets = 0, n_nodes = 0, n_surface_faces = 0;
    double smallest_dihedral = 0.0; ///< [rad], straight edges
    double largest_dihedral = 0.0;  ///< [rad]
    Index n_slivers = 0;            ///< below 10 degrees
    double smallest_scaled_jacobian = 0.0;
    double smallest_curved_jacobian = 0.0; ///< smallest_jacobian_share()
    double smallest_height = 0.0;          ///< [m]
    double volume = 0.0;                   ///< of the curved tetrahedra [m^3]
    double largest_surface_error = 0.0;    ///< distance of the curved surface from the zero set [m]
    double mean_surface_error = 0.0;       ///< [m]
    Index n_open_edges = 0;                ///< edges of the surface with other than two faces
};

/// Measures a mesh. The distance of the surface is |f| / |grad f| at the middle and the three edge
/// middles of every face that is not on a side of the box; first order, right for small distances,
/// and cut off at an edge of the face, since in the middle of a wall the gradient vanishes.
[[nodiscard]] TetQuality tet_quality(const TetMesh& mesh, const ImplicitSolid& solid);

/// Volume of all curved tetrahedra [m^3].
[[nodiscard]] double curved_volume(const TetMesh& mesh);

} // namespace cellgrade
