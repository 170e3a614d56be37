// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/box_motion.hpp"

#include "solver/core/error.hpp"

namespace cellgrade {

BoxMotion::BoxMotion(const Vec3& lengths, const std::array<BoxEdge, 3>& edges, double mass)
    : lengths_(lengths), edges_(edges), mass_(mass) {
    CELLGRADE_CHECK(mass > 0.0, "the mass of a periodic edge is {} kg; it must be above 0", mass);
}

void BoxMotion::advance(const Vec3& load, const StepTimes& times, double alpha, MotionSums& sums) {
    const Vec3 wanted = rate_ ? rate_(times.half_time) : Vec3::Zero().eval();
    const double keep = 1.0 - 0.5 * alpha * times.dt;
    const double gain = 1.0 / (1.0 + 0.5 * alpha * times.dt);
    for (int axis = 0; axis < 3; ++axis) {
        const double old = velocity_[axis];
        if (edges_[axis] == BoxEdge::Free) {
            velocity_[axis] = gain * (keep * old + times.dt * load[axis] / mass_);
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
