// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// A round bar with spherical ends, or with flat ends where a specimen is cut.
///
///     f(x) = |x - p(s)| - r,  p(s) = from + s along,  s the nearest in [first, last];
///     at a flat end the larger of f and n . (x - end)
///
/// below 0 inside; f changes no faster than x does. Of `from` only x - from is used: whole numbers
/// up to 2^53 subtract without error, so that moving bar and place alike gives the same bits.
struct CutBar {
    Vec3 from = Vec3::Zero();
    Vec3 along = Vec3::Zero(); ///< to the other end
    double radius = 0.0;
    double first = 0.0, last = 1.0; ///< the axis goes on past a flat end, so that all of it is cut
    std::array<Vec3, 2> cut{Vec3::Zero(), Vec3::Zero()}; ///< outward normals; zero: round end

    [[nodiscard]] double value(const Vec3& x) const noexcept;
    /// How far the bar can be from its drawn axis.
    [[nodiscard]] double reach() const noexcept;
};

/// The struts of a specimen as bars, each in one piece [m].
///
/// An end that no other strut shares is flat: in the side of the box that the strut crosses there,
/// as the specimen was cut; across the strut where there is no such side or more than one. All
/// other ends are round. A strut across a periodic side stands out whole, as in the 3MF lattice.
[[nodiscard]] std::vector<CutBar> cut_bars(const BeamMesh& mesh);

} // namespace cellgrade
