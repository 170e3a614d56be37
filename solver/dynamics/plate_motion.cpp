// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/plate_motion.hpp"

#include <algorithm>

namespace cellgrade {

PlateMotion::PlateMotion(PlatenContact contact) : contact_(std::move(contact)) {
    for (const RigidPlane& plane : contact_->planes())
        motion_.push_back({.position = plane.position});
    rate_.resize(motion_.size());
    drag_.resize(motion_.size());
    force_.assign(motion_.size(), Vec3::Zero());
}

void PlateMotion::set_rate(Index i, std::function<double(double)> rate) {
    rate_[i] = std::move(rate);
}

void PlateMotion::set_drag(Index i, std::function<Vec3(double)> drag) {
    drag_[i] = std::move(drag);
}

void PlateMotion::advance(const StepTimes& times) {
    for (std::size_t i = 0; i < motion_.size(); ++i) {
        const double speed = rate_[i] ? rate_[i](times.half_time) : 0.0;
        motion_[i].velocity = drag_[i] ? drag_[i](times.half_time) : Vec3::Zero().eval();
        motion_[i].velocity[contact_->planes()[i].axis] = speed;
        motion_[i].position += times.dt_next * speed;
    }
}

void PlateMotion::add_loads(std::span<const NodePose> pose,
                            std::span<const NodeRate> rate,
                            double dt,
                            std::span<NodeLoad> load) {
    if (!contact_)
        return;
    contact_->add_loads(pose, rate, motion_, dt, load);
    for (std::size_t i = 0; i < motion_.size(); ++i) {
        const PlaneReport& report = contact_->report()[i];
        work_ -= 0.5 * dt * (force_[i] + report.force).dot(motion_[i].velocity);
        friction_ += report.friction_dissipation;
        force_[i] = report.force;
    }
}

double PlateMotion::stored() const {
    double sum = 0.0;
    if (contact_)
        for (const PlaneReport& report : contact_->report())
            sum += report.normal_energy + report.tangential_energy;
    return sum;
}

double PlateMotion::deepest_share() const {
    double deepest = 0.0;
    if (contact_)
        for (const PlaneReport& report : contact_->report())
            deepest = std::max(deepest, report.deepest_share);
    return deepest;
}

double PlateMotion::fastest() const {
    double speed = 0.0;
    for (const PlaneMotion& plane : motion_)
        speed = std::max(speed, plane.velocity.norm());
    return speed;
}

PlateMotion::State PlateMotion::save() const {
    State state{.force = force_, .work = work_, .friction = friction_};
    for (std::size_t i = 0; i < motion_.size(); ++i) {
        state.position.push_back(motion_[i].position);
        for (const double component : motion_[i].velocity)
            state.speed.push_back(component);
    }
    if (contact_)
        state.springs = contact_->save();
    return state;
}

void PlateMotion::restore(const State& state) {
    for (std::size_t i = 0; i < motion_.size(); ++i) {
        motion_[i].position = state.position[i];
        for (int axis = 0; axis < 3; ++axis)
            motion_[i].velocity[axis] = state.speed[3 * i + axis];
    }
    force_ = state.force;
    work_ = state.work;
    friction_ = state.friction;
    if (contact_)
        contact_->restore(state.springs);
}

} // namespace cellgrade
