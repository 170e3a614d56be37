// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// A line from a point where the field has one sign to a point where it has the other.
struct Crossing {
    Vec3 from, to;       ///< [m]
    double f_from, f_to; ///< of opposite signs
};

/// Where the field is zero on each line, as a share of it in (0, 1).
///
/// Regula falsi with the halved end value of the Illinois variant, all lines at once, until the
/// bracket is below 1e-10 of the line or the value below 1e-13 of those at the ends; by halving
/// after 30 rounds, so that it ends. Source: Dowell and Jarratt (1971), BIT 11:168. Cost: about 8
/// values a line.
[[nodiscard]] std::vector<double> field_roots(const ImplicitSolid::Field& field,
                                              std::span<const Crossing> lines);

/// Values at many points, asked for in pieces of a few thousand.
/// @throws Error (Input) when a value is not finite, naming the point
[[nodiscard]] std::vector<double> field_values(const ImplicitSolid::Field& field,
                                               std::span<const Vec3> points);

} // namespace cellgrade
