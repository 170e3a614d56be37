// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

namespace cellgrade {

/// One step of a Coulomb contact with an elastic stick spring.
struct SpringStep {
    Vec3 elongation =
        Vec3::Zero();         ///< spring at the end of the step [m]; force on side a is -k times it
    double dissipation = 0.0; ///< energy lost to slip in the step [J], >= 0
};

/// Advances the spring by a tangential slide and returns it to the cone.
///
///   trial = old + slide       |k trial| <= limit: sticks, else new = trial limit / |k trial|
///   dissipation = (T_old + T_new)/2 . (trial - new)
///
/// With the work of the spring taken by the trapezoidal rule the step balances exactly: work =
/// change of k |x|^2/2 + dissipation. Where a reversal within one step would make the mean force
/// negative, T_new . (trial - new) >= 0 is taken instead. Source: radial return as in perfect
/// plasticity (Simo & Hughes 1998, sec. 1.4), applied to Coulomb friction.
/// @param slide  tangential motion of side a relative to side b in the step [m]
/// @param stiffness  [N/m]  @param limit  friction number x normal force [N]
[[nodiscard]] SpringStep
advance_spring(const Vec3& old, const Vec3& slide, double stiffness, double limit) noexcept;

/// Turns a vector into the plane normal to the unit vector `n` without changing its length.
[[nodiscard]] Vec3 turned_into_plane(const Vec3& x, const Vec3& n) noexcept;

} // namespace cellgrade
