// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

namespace cellgrade {

/// Shape measures of one tetrahedron with straight edges.
struct TetShape {
    double smallest_dihedral = 0.0; ///< [rad]
    double largest_dihedral = 0.0;  ///< [rad]
    double scaled_jacobian = 0.0;   ///< sqrt 2 x det / largest product of three edges at a corner
    double volume = 0.0;            ///< [m^3]
    double smallest_height = 0.0;   ///< [m]
};

/// Source: Knupp, Ernst, Thompson, Stimpson and Pebay (2006), The Verdict Geometric Quality
/// Library, SAND2007-1751 (from memory): scaled Jacobian 1 for the regular tetrahedron, below 0
/// when inverted.
[[nodiscard]] TetShape tet_shape(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d);

/// The two measures that decide where nodes go, without the rest of tet_shape().
struct TetLowness {
    double height;         ///< smallest; negative for a tetrahedron inside out [m]
    double largest_cosine; ///< of its dihedral angles: that of the smallest
};
[[nodiscard]] TetLowness tet_lowness(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d);

} // namespace cellgrade
