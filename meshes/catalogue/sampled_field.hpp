// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"

#include <filesystem>
#include <string_view>
#include <vector>

namespace cellgrade {

/// Values at the points (i / nx, j / ny, k / nz) of a cell, i fastest.
struct FieldSamples {
    std::array<Index, 3> counts{};
    std::vector<double> values; ///< nx * ny * nz
};

/// Numbers separated by commas, blanks or line ends; a line that starts with # is a remark.
/// Errors (input, with file and line): something that is not a finite number, or not as many
/// numbers as `counts` asks for. Each count is 2 to 512.
[[nodiscard]] FieldSamples read_field_samples(const std::filesystem::path& path,
                                              const std::array<Index, 3>& counts);

/// The same from text; `name` stands for the file in errors.
[[nodiscard]] FieldSamples parse_field_samples(std::string_view text,
                                               const std::string& name,
                                               const std::array<Index, 3>& counts);

/// Periodic interpolation by cubics through the samples, continuous with its first derivatives.
///
///   f = sum_ijk w_i(u) w_j(v) w_k(w) f_ijk      w: cubic convolution, a = -1/2
///
/// The error falls with the third power of the spacing. Source: Keys 1981, IEEE Trans ASSP 29:1153
/// (from memory). 64 samples a point.
[[nodiscard]] PointField interpolated(FieldSamples samples);

} // namespace cellgrade
