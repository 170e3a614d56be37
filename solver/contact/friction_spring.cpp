// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/friction_spring.hpp"

#include <cmath>

namespace cellgrade {

SpringStep
advance_spring(const Vec3& old, const Vec3& slide, double stiffness, double limit) noexcept {
    const Vec3 trial = old + slide;
    const double trial_force = stiffness * trial.norm();
    if (trial_force <= limit)
        return {.elongation = trial};
    const Vec3 elongation = (limit / trial_force) * trial;
    const Vec3 slip = trial - elongation;
    double loss = 0.5 * stiffness * (old + elongation).dot(slip);
    if (loss < 0.0)
        loss = std::fmax(0.0, stiffness * elongation.dot(slip));
    return {.elongation = elongation, .dissipation = loss};
}

Vec3 turned_into_plane(const Vec3& x, const Vec3& n) noexcept {
    const double before = x.squaredNorm();
    const Vec3 flat = x - n.dot(x) * n;
    const double after = flat.squaredNorm();
    // A vector that has become normal to its plane has lost its direction; it cannot be turned.
    if (after <= 1e-24 * before)
        return Vec3::Zero();
    return std::sqrt(before / after) * flat;
}

} // namespace cellgrade
