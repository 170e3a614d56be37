// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/catalogue/strut_cell.hpp"

namespace cellgrade::known_cells {

// Cells whose stiffness has a closed form, built here from their definition so that a verification
// does not lean on a cell file. Cubic ones have cell edge `edge` [m].

[[nodiscard]] StrutCell simple_cubic(double edge);
/// Cell centre to the eight corners.
[[nodiscard]] StrutCell body_centred(double edge);
/// Corners to face centres only.
[[nodiscard]] StrutCell face_centred(double edge);
/// All nearest neighbours of a face-centred arrangement.
[[nodiscard]] StrutCell octet(double edge);
/// Edges of space-filling truncated octahedra; strut length edge / (2 sqrt 2).
[[nodiscard]] StrutCell kelvin(double edge);
/// body_centred() followed by the three cube edges through each of its two nodes.
[[nodiscard]] StrutCell body_centred_with_edges(double edge);
/// Plane honeycomb of regular hexagons of side `side`, one zigzag direction along x; the layers,
/// `height` apart along z, do not touch. Two nodes, three struts, lattice not at right angles.
[[nodiscard]] StrutCell hexagon_layer(double side, double height);

/// Straight column of equal elements along z, node i at height i / n_elements; not periodic.
[[nodiscard]] BeamMesh column(double length, double radius, int n_elements);

} // namespace cellgrade::known_cells
