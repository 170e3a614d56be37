// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/results/saved_shapes.hpp"

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace cellgrade {

/// Saved shapes made small for a page: beams, or the surface of a solid as triangles between its
/// corners; places in 1/65535 of the box around all frames (0.8 um of 50 mm).
struct PackedShapes {
    std::size_t n_points = 0;
    std::size_t points_per_cell = 2;         ///< 2: beams, 3: triangles
    std::vector<std::uint32_t> cells;        ///< points of each cell
    std::vector<float> radius_m;             ///< one a beam
    std::vector<double> nominal_strain;      ///< one a frame that is kept
    std::array<double, 3> low_m{}, size_m{}; ///< of the box
    std::vector<std::uint16_t> places;       ///< frame by frame, x y z of each point
    std::size_t n_saved = 0;                 ///< frames in the file

    [[nodiscard]] std::size_t n_frames() const { return nominal_strain.size(); }
    [[nodiscard]] std::array<double, 3> position_m(std::size_t frame, std::size_t point) const;
};

/// Keeps as many frames, evenly and with the first, the last and the most crushed, as fit into
/// `most_bytes` of places; two at least.
[[nodiscard]] PackedShapes packed_shapes(const SavedShapes& shapes, std::size_t most_bytes);

/// Cells (uint32), radii (float32), then the low and the high bytes of the places, each frame less
/// the one before; little-endian.
[[nodiscard]] std::string shape_bytes(const PackedShapes& shapes);

/// The first and the most crushed frame side by side, seen from above one edge.
[[nodiscard]] std::string shape_picture_svg(const std::string& title, const PackedShapes& shapes);

} // namespace cellgrade
