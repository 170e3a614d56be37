// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"

#include <optional>

namespace cellgrade {

/// Gradient of the field by central differences over +-h, 0 along held axes (bit i: axis i); one
/// sided where a difference would leave the box.
[[nodiscard]] Vec3
field_gradient(const ImplicitSolid& solid, const Vec3& x, unsigned held, double h);

/// The point of the zero set near x, at most `reach` away, by Newton's method along the gradient,
/// ended by a bracketed root; stays in the sides that the held axes name.
/// @return nothing where there is none within reach, or outside the box
[[nodiscard]] std::optional<Vec3>
onto_zero_set(const ImplicitSolid& solid, const Vec3& x, unsigned held, double reach);

} // namespace cellgrade
