// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/print/bar_tile.hpp"

#include <functional>

namespace cellgrade {

/// Takes away corners of a surface that its shape does not need: edges shrink to points.
///
/// Each step keeps the enclosed volume to rounding, points `on_rim` as they are, and the surface
/// manifold: the ends of the edge have just two neighbours in common, and none of them is left with
/// less than three triangles. Where the point goes: least sum of squared distances from the planes
/// of the triangles that it replaces, weighted by area, under the constraint of volume. A step is
/// refused that turns a triangle by 60 degrees or more, makes a needle, leaves the box, or takes
/// the point or its triangles (at edge middles and middles) further from the surface that is meant
/// than `tolerance`, or than what they replace where that is more, as across the creases of joints.
///
/// Sources: Garland and Heckbert 1997 (sum of squared distances); Lindstrom and Turk 1998
/// (constraint of volume); Dey, Edelsbrunner, Guha and Nekhayev 1999 (when an edge may shrink);
/// all from memory. Time n log n; one thread.
/// @param near  whether a point's edges are looked at from the start; all others follow where one
/// of their ends has moved. Empty: all
/// @param box  from the origin; points stay inside
/// @param distance  from the surface that is meant, at a place
void thin_out(TileSurface& surface,
              const std::vector<bool>& near,
              const Vec3& box,
              const std::function<double(const Vec3&)>& distance,
              double tolerance);

} // namespace cellgrade
