// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/striker_motion.hpp"

#include "solver/core/error.hpp"

#include <cmath>
#include <utility>

namespace cellgrade {

void StrikerBody::check() const {
    CELLGRADE_CHECK(mass > 0.0 && std::isfinite(mass),
                    "striker: mass is {} kg; give a finite value > 0", mass);
    CELLGRADE_CHECK(inertia >= 0.0 && std::isfinite(inertia),
                    "striker: moment of inertia is {} kg m^2; give a finite value >= 0", inertia);
    CELLGRADE_CHECK(gravity >= 0.0 && std::isfinite(gravity),
                    "striker: gravity is {} m/s^2; give a finite value >= 0", gravity);
}

StrikerMotion::StrikerMotion(StrikerContact contact,
                             const StrikerBody& body,
                             const StrikerPlace& start)
    : contact_(std::move(contact)), body_(body), place_(start) {
    body.check();
}

void StrikerMotion::advance(const StepTimes& times, MotionSums& sums) {
    const StrikerReport& felt = contact_.report();
    const Vec3 v_old = place_.velocity;
    const double w_old = place_.spin, weight = body_.mass * body_.gravity;
    const Vec3 free(body_.slides ? felt.force.x() : 0.0, 0.0, felt.force.z() - weight);
    place_.velocity += times.dt / body_.mass * free;
    if (body_.inertia > 0.0)
        place_.spin += times.dt / body_.inertia * felt.torque;
    place_.centre += times.dt_next * place_.velocity;
    place_.turn += times.dt_next * place_.spin;
    impulse_ += times.dt * felt.force;
    turning_impulse_ += times.dt * felt.torque;

    const Vec3& v = place_.velocity;
    sums.kinetic += 0.5 * body_.mass * v_old.dot(v) + 0.5 * body_.inertia * w_old * place_.spin;
    sums.load_before -= 0.5 * times.dt * weight * v_old.z();
    sums.load_work -= 0.5 * times.dt * weight * (v_old.z() + v.z());
}

void StrikerMotion::add_loads(std::span<const NodePose> pose,
                              std::span<const NodeRate> rate,
                              double dt,
                              std::span<NodeLoad> load) {
    contact_.add_loads(pose, rate, place_, dt, load);
    friction_ += contact_.report().friction_dissipation;
}

double StrikerMotion::kinetic_half() const {
    return 0.5 * body_.mass * place_.velocity.squaredNorm() +
           0.5 * body_.inertia * place_.spin * place_.spin;
}

double StrikerMotion::stored() const {
    return contact_.report().normal_energy + contact_.report().tangential_energy;
}

double StrikerMotion::omega_squared() const {
    const StrikerReport& felt = contact_.report();
    const double turning = body_.inertia > 0.0 ? felt.tangent_lever_squared / body_.inertia : 0.0;
    return contact_.node_omega_squared() + felt.tangent / body_.mass + turning;
}

} // namespace cellgrade
