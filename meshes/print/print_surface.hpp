// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// A closed surface of flat triangles, as a printer wants it.
///
/// Every edge has exactly two triangles that run it in opposite directions; seen from outside the
/// corners go counter-clockwise; no triangle is without area and no two points fall together, also
/// after rounding to single precision, which is how the points are kept.
struct PrintSurface {
    std::vector<std::array<float, 3>> points; ///< [mm], in the positive octant
    std::vector<std::array<Index, 3>> triangles;
};

/// The whole boundary of a mesh: the free surface and all sides of the box, periodic ones too.
///
/// Each face of six nodes becomes four triangles over its edge middles, so that a curve is kept:
/// the flat triangles leave it by a quarter of the bow of an edge at most, and the enclosed volume
/// differs by A/12 times the normal bow, to first order, a face of area A and one of its edges.
/// Linear in the mesh.
/// Errors (input): parts of the solid that touch along an edge or points nearer to each other than
/// single precision tells; both with the place.
[[nodiscard]] PrintSurface print_surface(const TetMesh& mesh);

/// Refuses what is not a PrintSurface as above says. Errors (input): as print_surface().
void check_closed(const PrintSurface& surface);

/// Volume inside, by the divergence theorem: sum of a . (b x c) / 6 over triangles a b c [m^3].
[[nodiscard]] double enclosed_volume(const PrintSurface& surface);

/// Volume inside each connected piece of the surface, by first use of its points [m^3]. A part in
/// one piece has one number above 0; each number below 0 is a void closed in.
[[nodiscard]] std::vector<double> shell_volumes(const PrintSurface& surface);

} // namespace cellgrade
