// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/print/bar_tile.hpp"
#include "meshes/print/print_surface.hpp"

namespace cellgrade {

/// How closely flat triangles follow round struts; both in radii of the thinnest one.
///
/// Marching tetrahedra inscribe their facets. A chord of length e lies e^2 / 12 r under the arc in
/// the mean; edges of the surface are about half a cube long, so that a bar of radius r loses about
/// (h / r)^2 / 24 of its volume: 0.5 % with three cubes a radius, 1 % with two. Thinning out keeps
/// the volume, and a polygon of as much area as its circle whose corners are 2.5 % outside has
/// twelve: 0.01 mm on a strut of 1 mm, below what printers place.
struct StrutSurfaceOptions {
    double cubes_per_radius = 3.0;
    double tolerance = 0.025; ///< how far thinning may take it from the round; 0: no thinning
};

/// The solid of a specimen of struts as pieces of its surface, one a box of the size of a cell;
/// boxes of the same content share one piece.
struct TiledStruts {
    std::vector<TileSurface> pieces;
    std::vector<BarTile> solids; ///< what each piece is the surface of
    struct Place {
        Vec3i at;
        std::size_t piece = 0;
    };
    std::vector<Place> places;        ///< where each stands, in tiles; x fastest, none twice
    Vec3i half_cubes = Vec3i::Zero(); ///< of a tile
    Vec3 tile = Vec3::Zero();         ///< size, in units of the pieces' points
    Vec3 unit = Vec3::Zero();         ///< of the points, along each axis [m]
    double tolerance = 0.0;           ///< of thinning, in the same units; 0: none

    [[nodiscard]] std::size_t n_triangles() const;
};

/// Builds the pieces; a cell's worth of time for each kind of tile of a uniform specimen (inside,
/// sides, edges, corners: 27, up to 125 where struts of two cells reach into a tile at a side),
/// whatever its size: seconds. What is solid: cut_bars().
/// @param period  edges of a cell [m]; any other size gives as right a surface, only slower
/// @throws Error (input) cubes_per_radius below 1, tolerance below 0
[[nodiscard]] TiledStruts
tile_struts(const BeamMesh& mesh, const Vec3& period, const StrutSurfaceOptions& options = {});

/// Joins the pieces and thins the seams out. About 10 us a triangle; errors (input) as
/// print_surface().
[[nodiscard]] PrintSurface strut_surface(const TiledStruts& tiled);

} // namespace cellgrade
