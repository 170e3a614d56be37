// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/print/cut_bars.hpp"

#include <span>

namespace cellgrade {

/// The union of bars in a box from the origin, with the bars near each place at hand.
///
/// The value is exact where it is at most `far`, in the box; elsewhere it is larger than that.
class BarTile {
public:
    /// @param cube  edge of what is looked up at once
    BarTile(std::vector<CutBar> bars, const Vec3& box, double cube, double far);

    /// Smallest of the bars' functions: below 0 inside.
    [[nodiscard]] double value(const Vec3& x) const noexcept;
    [[nodiscard]] const Vec3& box() const noexcept { return box_; }

private:
    [[nodiscard]] std::size_t block_of(const Vec3& x) const noexcept;

    std::vector<CutBar> bars_;
    Vec3 box_;
    double far_, edge_;
    Vec3i n_;
    std::vector<Index> first_in_; ///< one a block and the end
    std::vector<Index> listed_;   ///< bars, block by block
};

/// A surface in a box: closed but for its rim on the sides of the box.
struct TileSurface {
    std::vector<Vec3> points;
    std::vector<std::array<Index, 3>> triangles; ///< counter-clockwise seen from outside
    /// Of a point on a side of the box, which a neighbour has too: the sum of the places, in half
    /// cubes, of the two grid nodes between which it lies. That tells it from all others.
    std::vector<Vec3i> rim;
    std::vector<bool> on_rim; ///< one a point
};

/// Surface of the bars of a tile by marching tetrahedra on a body-centred cubic grid whose sides
/// are flat (StuffingGrid): one or two triangles in each tetrahedron whose corners lie on both
/// sides, corners where the function is 0 on its edges, found to rounding.
///
/// The signs at the grid nodes decide what is connected, so neighbours that compute the same signs
/// fit without gaps. Manifold by construction, for any function: each face of a tetrahedron has one
/// segment or none. A corner stays 2 % of an edge away from the edge's ends, so that no triangle
/// is without area. Error of the enclosed volume of second order in the cube.
/// Source: common practice (marching tetrahedra), no source.
[[nodiscard]] TileSurface march_tile(const BarTile& tile, const Vec3i& cubes);

} // namespace cellgrade
