// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/box_motion.hpp"

#include "solver/core/error.hpp"

namespace cellgrade {

BoxMotion::BoxMotion(const Vec3& lengths, const std::array<BoxEdge, 3>& edges, double mass)
    : lengths_(lengths), edges_(edges), mass_(mass) {
    CELLGRADE_CHECK(mass > 0.0, "the mass of a periodic edge is {} kg; it must be above 0", mass);
}

Vec3 BoxMotion::per_free_length() const {
    Vec3 per = Vec3::Zero();
    for (int axis = 0; axis < 3; ++axis)
        if (edges_[axis] == BoxEdge::Free)
            per[axis] = 1.0 / lengths_[axis];
    return per;
}

void BoxMotion::advance(const Vec3& load,
                        const StepTimes& times,
                        double alpha,
                        MotionSums& sums,
                        const Vec3& carried_mass) {
    const Vec3 wanted = rate_ ? rate_(times.half_time) : Vec3::Zero().eval();
    for (int axis = 0; axis < 3; ++axis) {
        const double old = velocity_[axis];
        if (edges_[axis] == BoxEdge::Free) {
            const double whole = mass_ + carried_mass[axis];
            const double braked = 0.5 * alpha * times.dt * (mass_ / whole);
            const double gain = 1.0 / (1.0 + braked);
            velocity_[axis] = gain * ((1.0 - braked) * old + times.dt * load[axis] / whole);
            const double mean = 0.5 * (old + velocity_[axis]);
            sums.kinetic += 0.5 * mass_ * old * velocity_[axis];
            sums.damping_before += 0.5 * alpha * mass_ * mean * old * times.dt;
            sums.damping_work += alpha * mass_ * mean * mean * times.dt;
        } else if (edges_[axis] == BoxEdge::Prescribed) {
            velocity_[axis] =
                wanted[axis]; // a driven edge is massless: its force balances the load
            reaction_[axis] = -load[axis];
            sums.load_before += 0.5 * reaction_[axis] * old * times.dt;
            sums.load_work += reaction_[axis] * 0.5 * (old + velocity_[axis]) * times.dt;
        }
        lengths_[axis] += times.dt_next * velocity_[axis];
    }
}

} // namespace cellgrade
