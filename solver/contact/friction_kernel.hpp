// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/lane_roots.hpp"
#include "solver/elements/lane_math.hpp"

/// Coulomb friction with a stick spring on a lane type S (double or Pack); the equations are in
/// friction_spring.hpp.
namespace cellgrade::lane {

template <class S>
struct SpringStep {
    Vector<S> elongation; ///< at the end of the step [m]
    S dissipation;        ///< lost to slip in the step [J], >= 0
};

template <class S>
[[nodiscard]] CELLGRADE_INLINE SpringStep<S> advance_spring(const Vector<S>& old,
                                                            const Vector<S>& slide,
                                                            const S& stiffness,
                                                            const S& limit) noexcept {
    const Vector<S> trial = old + slide;
    const S trial_force = stiffness * sqrt(dot(trial, trial));
    const auto sticks = trial_force <= limit;
    const S kept = select(sticks, S(1.0), limit / trial_force);
    const Vector<S> elongation = kept * trial;
    const Vector<S> slip = trial - elongation;
    const S even = 0.5 * stiffness * dot(old + elongation, slip);
    const S late = stiffness * dot(elongation, slip);
    const S loss = select(even < 0.0, select(late > 0.0, late, S(0.0)), even);
    return {elongation, select(sticks, S(0.0), loss)};
}

/// Turns a vector into the plane normal to the unit vector `n` without changing its length. One
/// that has become normal to the plane has lost its direction and becomes zero.
template <class S>
[[nodiscard]] CELLGRADE_INLINE Vector<S> turned_into_plane(const Vector<S>& x,
                                                           const Vector<S>& n) noexcept {
    const S before = dot(x, x);
    const Vector<S> flat = x - dot(n, x) * n;
    const S after = dot(flat, flat);
    return select(after <= 1e-24 * before, S(0.0), sqrt(before / after)) * flat;
}

} // namespace cellgrade::lane
