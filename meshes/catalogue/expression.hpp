// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/level_set_cell.hpp"

#include <string>

namespace cellgrade {

/// A formula in x, y, z, as a function of fractional coordinates.
struct ExpressionField {
    PointField function;
    std::array<bool, 3> varies{}; ///< whether x, y, z occur
};

/// Compiles a formula in x, y, z (0 .. 2 pi over the cell), with pi, + - * / ^, comparisons, ? :,
/// sin cos tan exp log sqrt abs min max and the other functions of the muParser library.
///
/// Each thread that evaluates borrows a compiled copy of its own from a pool, since a compiled
/// formula is not safe to share. About 0.2 us a point for a gyroid.
///
/// Errors (input, without place): syntax, an unknown name, an assignment, several results.
[[nodiscard]] ExpressionField compile_expression(const std::string& formula);

} // namespace cellgrade
