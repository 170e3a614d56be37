// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <vector>

namespace cellgrade {

/// Shapes of a crush or drop as a .vtkhdf file keeps them, numbers as stored (float32).
struct SavedShapes {
    std::size_t n_points = 0;
    std::size_t points_per_cell = 0;        ///< 2: beams; 10: quadratic tetrahedra
    std::vector<std::int64_t> connectivity; ///< points of each cell
    std::vector<float> radius_m;            ///< one a point; empty for solids
    std::vector<double> nominal_strain;     ///< one a frame
    std::vector<double> time_s;             ///< one a frame
    std::vector<float> points_m;            ///< frame by frame, x y z of each point

    [[nodiscard]] std::size_t n_frames() const { return nominal_strain.size(); }
    [[nodiscard]] std::size_t n_cells() const { return connectivity.size() / points_per_cell; }
    [[nodiscard]] bool is_solid() const { return points_per_cell != 2; }
};

/// Reads what `write_vtkhdf_frames` wrote.
/// @throws Error (Input) for a file without saved shapes, or whose arrays do not fit together
[[nodiscard]] SavedShapes read_saved_shapes(const std::filesystem::path& path);

} // namespace cellgrade
