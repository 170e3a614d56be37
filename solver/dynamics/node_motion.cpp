// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/node_motion.hpp"

#include "solver/core/error.hpp"
#include "solver/dynamics/rotation.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace cellgrade {

namespace {

constexpr Index chunk = 256;

Quat orientation(const NodePose& p) {
    return {p.qw, p.qx, p.qy, p.qz};
}
Vec3 velocity(const NodeRate& r) {
    return {r.vx, r.vy, r.vz};
}
Vec3 angular_velocity(const NodeRate& r) {
    return {r.wx, r.wy, r.wz};
}

/// Body rate W with J W = exp(-dt W / 2) p. Each pass gains a factor |dt W|/2, below 1e-2 in a
/// stable step; the loop ends at rounding.
Vec3 body_rate(const NodeInertia& inertia, const Vec3& body_spin, double dt) {
    Vec3 W = inertia.inverse_rotary * body_spin;
    for (int pass = 0; pass < 20; ++pass) {
        const Vec3 next = inertia.inverse_rotary * rotate(exponential(-0.5 * dt * W), body_spin);
        const double change = (next - W).squaredNorm();
        W = next;
        if (change <= 1e-30 * W.squaredNorm())
            break;
    }
    return W;
}

} // namespace

struct NodeMotion::NodeStep {
    StepTimes times;
    Quat q;        // orientation at t_n
    Vec3 v_old, v; // half-step velocities
    Vec3 w_old, w; // half-step spatial angular velocities
    Vec3 p_old, p; // half-step spatial angular momenta
    Vec3 W;        // body rate at n + 1/2
    Vec3 u;        // flow that damping refers to
};

NodeMotion::NodeMotion(std::span<const Vec3> positions, std::vector<NodeInertia> inertia)
    : inertia_(std::move(inertia)), pose_(positions.size()), rate_(positions.size()),
      spin_(positions.size(), Vec3::Zero()), first_hold_(positions.size(), no_index),
      chunk_sums_((positions.size() + chunk - 1) / chunk) {
    CELLGRADE_CHECK(inertia_.size() == positions.size(), "{} positions but {} nodal inertias",
                    positions.size(), inertia_.size());
    for (std::size_t i = 0; i < positions.size(); ++i) {
        pose_[i].x = positions[i].x();
        pose_[i].y = positions[i].y();
        pose_[i].z = positions[i].z();
    }
}

Index NodeMotion::add_group(MotionGroup group) {
    const Index number = static_cast<Index>(groups_.size());
    for (const Index node : group.nodes)
        holds_.push_back({.node = node, .group = number, .freedoms = group.freedoms});
    std::stable_sort(holds_.begin(), holds_.end(),
                     [](const Hold& a, const Hold& b) { return a.node < b.node; });
    for (std::size_t k = holds_.size(); k-- > 0;)
        first_hold_[holds_[k].node] = static_cast<Index>(k);
    groups_.push_back(std::move(group));
    group_rate_.emplace_back();
    reaction_.emplace_back();
    return number;
}

void NodeMotion::carry_along(Index group, const Vec3& per_length) {
    for (Hold& hold : holds_) {
        const NodeInertia& inertia = inertia_[hold.node];
        if (hold.group != group || inertia.mass == 0.0)
            continue;
        CELLGRADE_ASSERT((hold.freedoms & fix_translations) == fix_translations);
        const NodePose& p = pose_[hold.node];
        hold.share = per_length.cwiseProduct(Vec3(p.x, p.y, p.z));
        carried_mass_ += inertia.mass * hold.share.cwiseAbs2();
    }
}

Vec3 NodeMotion::carried_load(std::span<const NodeLoad> load) const {
    Vec3 sum = Vec3::Zero();
    if (carried_mass_.isZero(0.0))
        return sum;
    for (const Hold& hold : holds_) {
        const NodeLoad& f = load[hold.node];
        sum += hold.share.cwiseProduct(Vec3(f.fx, f.fy, f.fz));
    }
    return sum;
}

void NodeMotion::set_velocity(Index node, const Vec3& v, const Vec3& spin) {
    NodeRate& r = rate_[node];
    r = {v.x(), v.y(), v.z(), spin.x(), spin.y(), spin.z(), 0.0, 0.0};
    const Quat q = orientation(pose_[node]);
    spin_[node] = rotate(q, inertia_[node].rotary * rotate_back(q, spin));
}

void NodeMotion::hold_translations(Index i, const NodeLoad& load, double alpha, NodeStep& s) {
    const double m = inertia_[i].mass;
    for (Index k = first_hold_[i]; k < static_cast<Index>(holds_.size()) && holds_[k].node == i;
         ++k) {
        Hold& hold = holds_[k];
        const Vec3& prescribed = group_rate_[hold.group].velocity;
        const Vec3 f(load.fx, load.fy, load.fz);
        hold.reaction = {};
        hold.work = hold.work_before = 0.0;
        for (int axis = 0; axis < 3; ++axis) {
            if ((hold.freedoms & (1U << axis)) == 0U)
                continue;
            const double carried = hold.share[axis] * box_rates_.now[axis];
            const double carried_old = hold.share[axis] * box_rates_.before[axis];
            s.v[axis] = prescribed[axis] + carried;
            const double mean = 0.5 * (s.v[axis] + s.v_old[axis]);
            const double r = m * (s.v[axis] - s.v_old[axis]) / s.times.dt - f[axis] +
                             alpha * m * (mean - s.u[axis]);
            hold.reaction.force[axis] = r;
            const double supplied_old = s.v_old[axis] - carried_old;
            hold.work_before += 0.5 * r * supplied_old * s.times.dt;
            hold.work += r * 0.5 * (prescribed[axis] + supplied_old) * s.times.dt;
        }
    }
}

void NodeMotion::hold_rotations(Index i, const NodeLoad& load, double alpha, NodeStep& s) {
    bool held = false;
    for (Index k = first_hold_[i]; k < static_cast<Index>(holds_.size()) && holds_[k].node == i;
         ++k)
        for (int axis = 0; axis < 3; ++axis)
            if ((holds_[k].freedoms & (8U << axis)) != 0U) {
                s.w[axis] = group_rate_[holds_[k].group].spin[axis];
                held = true;
            }
    if (!held)
        return;
    const Quat q_half = exponential(0.5 * s.times.dt_next * s.w) * s.q;
    s.W = rotate_back(q_half, s.w);
    s.p = rotate(q_half, inertia_[i].rotary * s.W);
    const Vec3 moment(load.mx, load.my, load.mz);
    const Vec3 r = (s.p - s.p_old) / s.times.dt - moment + 0.5 * alpha * (s.p + s.p_old);
    for (Index k = first_hold_[i]; k < static_cast<Index>(holds_.size()) && holds_[k].node == i;
         ++k)
        for (int axis = 0; axis < 3; ++axis)
            if ((holds_[k].freedoms & (8U << axis)) != 0U) {
                holds_[k].reaction.moment[axis] = r[axis];
                holds_[k].work_before += 0.5 * r[axis] * s.w_old[axis] * s.times.dt;
                holds_[k].work += r[axis] * 0.5 * (s.w[axis] + s.w_old[axis]) * s.times.dt;
            }
}

void NodeMotion::advance_node(Index i,
                              const NodeLoad& load,
                              const StepTimes& times,
                              const Damping& damping,
                              MotionSums& sums) {
    const NodeInertia& inertia = inertia_[i];
    if (inertia.mass == 0.0)
        return; // carried along by another node
    NodePose& pose = pose_[i];
    NodeRate& rate = rate_[i];
    const double alpha = damping.alpha;
    const double keep = 1.0 - 0.5 * alpha * times.dt;
    const double gain = 1.0 / (1.0 + 0.5 * alpha * times.dt);

    NodeStep s{.times = times, .q = orientation(pose)};
    s.u = damping.stretch_rate.cwiseProduct(Vec3(pose.x, pose.y, pose.z));
    s.u.x() += damping.shear_rate * pose.z;
    s.v_old = velocity(rate);
    s.w_old = angular_velocity(rate);
    s.p_old = spin_[i];
    s.v =
        gain * (keep * s.v_old +
                times.dt * (inertia.inverse_mass * Vec3(load.fx, load.fy, load.fz) + alpha * s.u));
    if (!inertia.turns) {
        if (first_hold_[i] != no_index)
            hold_translations(i, load, alpha, s);
        finish_translation(i, s, alpha, sums);
        return;
    }
    s.p = gain * (keep * s.p_old + times.dt * Vec3(load.mx, load.my, load.mz));
    if (inertia.spherical) {
        s.w = inertia.inverse_rotary(0, 0) * s.p;
    } else {
        s.W = body_rate(inertia, rotate_back(s.q, s.p), times.dt_next);
        s.w =
            rotate(s.q, s.W); // exp(dt W/2) leaves W alone: the same spatial rate at n and n + 1/2
    }
    if (first_hold_[i] != no_index) {
        hold_translations(i, load, alpha, s);
        hold_rotations(i, load, alpha, s);
    }

    // The spatial turn from the left is the body turn from the right: q exp(dt W) = exp(dt w) q.
    const Quat q = normalised(exponential(times.dt_next * s.w) * s.q);
    const Vec3 move = times.dt_next * s.v;
    pose = {pose.x + move.x(), pose.y + move.y(), pose.z + move.z(), q.w, q.x, q.y, q.z, 0.0};
    rate = {s.v.x(), s.v.y(), s.v.z(), s.w.x(), s.w.y(), s.w.z(), 0.0, 0.0};
    spin_[i] = s.p;

    sums.kinetic +=
        0.5 * inertia.mass * s.v.dot(s.v_old) + 0.25 * (s.p.dot(s.w_old) + s.p_old.dot(s.w));
    const Vec3 brake = 0.5 * (s.v + s.v_old) - s.u, turn_brake = 0.5 * (s.p + s.p_old);
    const double share = alpha * times.dt;
    sums.damping_before +=
        0.5 * share * (inertia.mass * brake.dot(s.v_old) + turn_brake.dot(s.w_old));
    sums.damping_work +=
        0.5 * share * (inertia.mass * brake.dot(s.v + s.v_old) + turn_brake.dot(s.w + s.w_old));
    sums.largest_move = std::max(sums.largest_move, move.squaredNorm());
}

/// A node without rotation: the same sums with spins of zero.
void NodeMotion::finish_translation(Index i, const NodeStep& s, double alpha, MotionSums& sums) {
    NodePose& pose = pose_[i];
    const double mass = inertia_[i].mass;
    const Vec3 move = s.times.dt_next * s.v;
    pose.x += move.x();
    pose.y += move.y();
    pose.z += move.z();
    rate_[i] = {s.v.x(), s.v.y(), s.v.z(), 0.0, 0.0, 0.0, 0.0, 0.0};
    const Vec3 brake = 0.5 * (s.v + s.v_old) - s.u;
    const double share = alpha * s.times.dt;
    sums.kinetic += 0.5 * mass * s.v.dot(s.v_old);
    sums.damping_before += 0.5 * share * mass * brake.dot(s.v_old);
    sums.damping_work += 0.5 * share * mass * brake.dot(s.v + s.v_old);
    sums.largest_move = std::max(sums.largest_move, move.squaredNorm());
}

void NodeMotion::sum_reactions(MotionSums& sums) {
    std::fill(reaction_.begin(), reaction_.end(), GroupReaction{});
    for (const Hold& hold : holds_) {
        reaction_[hold.group].force += hold.reaction.force;
        reaction_[hold.group].moment += hold.reaction.moment;
        sums.load_before += hold.work_before;
        sums.load_work += hold.work;
    }
}

MotionSums NodeMotion::advance(std::span<const NodeLoad> load,
                               const StepTimes& times,
                               const Damping& damping,
                               const BoxRates& box) {
    box_rates_ = box;
    for (std::size_t g = 0; g < groups_.size(); ++g)
        group_rate_[g] = groups_[g].rate ? groups_[g].rate(times.half_time) : GroupRate{};
    const Index n = static_cast<Index>(pose_.size());
    const Index n_chunks = static_cast<Index>(chunk_sums_.size());
#pragma omp parallel for schedule(static) if (n > small_job)
    for (Index c = 0; c < n_chunks; ++c) {
        MotionSums sums;
        for (Index i = c * chunk; i < std::min(n, (c + 1) * chunk); ++i)
            advance_node(i, load[i], times, damping, sums);
        chunk_sums_[c] = sums;
    }
    MotionSums total;
    for (const MotionSums& part : chunk_sums_) {
        total.kinetic += part.kinetic;
        total.damping_before += part.damping_before;
        total.damping_work += part.damping_work;
        total.largest_move = std::max(total.largest_move, part.largest_move);
    }
    total.largest_move = std::sqrt(total.largest_move);
    sum_reactions(total);
    return total;
}

Vec3 NodeMotion::momentum() const {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 0; i < pose_.size(); ++i)
        sum += inertia_[i].mass * velocity(rate_[i]);
    return sum;
}

Vec3 NodeMotion::angular_momentum() const {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 0; i < pose_.size(); ++i)
        sum +=
            Vec3(pose_[i].x, pose_[i].y, pose_[i].z).cross(inertia_[i].mass * velocity(rate_[i])) +
            spin_[i];
    return sum;
}

double NodeMotion::kinetic_half() const {
    double sum = 0.0;
    for (std::size_t i = 0; i < pose_.size(); ++i)
        sum += 0.5 * inertia_[i].mass * velocity(rate_[i]).squaredNorm() +
               0.5 * spin_[i].dot(angular_velocity(rate_[i]));
    return sum;
}

void NodeMotion::restore(const State& state) {
    pose_ = state.pose;
    rate_ = state.rate;
    spin_ = state.spin;
}

} // namespace cellgrade
