// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/strut_contact.hpp"

#include "solver/contact/friction_spring.hpp"
#include "solver/contact/segment_distance.hpp"
#include "solver/core/error.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

Vec3 place(const NodePose& pose) {
    return {pose.x, pose.y, pose.z};
}

// images * box, but exactly zero (not NaN) along axes without an image.
template <class Images>
Vec3 shifted(const Images& images, const Vec3& box) {
    Vec3 by = Vec3::Zero();
    for (int i = 0; i < 3; ++i)
        by[i] = images[i] != 0 ? images[i] * box[i] : 0.0;
    return by;
}

} // namespace

void StrutContact::add_loads(std::span<const NodePose> pose,
                             std::span<const NodeRate> rate,
                             const Vec3& box,
                             double dt,
                             std::span<NodeLoad> load) {
    CELLGRADE_ASSERT(pose.size() == node_mass_.size() && rate.size() == node_mass_.size() &&
                     load.size() == node_mass_.size());
    check_motion(rate, dt);
    // Written so that a position that is not a number leads to a rebuild, which names the node.
    if (!(moved_since_build(pose, box) <= 0.5 * margin_))
        rebuild(pose, box);
    box_rate_ = dt > 0.0 ? Vec3((box - last_box_) / dt) : Vec3::Zero();
    last_box_ = box;
    place_capsules(pose, box);

    const Index n_pairs = static_cast<Index>(pairs_.size());
    const Index n_elements = static_cast<Index>(elements_.size());
    const Index n_nodes = static_cast<Index>(node_mass_.size());
    const Index n_parts = static_cast<Index>(parts_.size());
    const Index n_node_parts = static_cast<Index>(node_parts_.size());
#pragma omp parallel if (n_elements > small_net)
    {
#pragma omp for schedule(static)
        for (Index c = 0; c < n_parts; ++c) {
            parts_[c] = ContactReport{};
            load_pairs(c * pair_chunk, std::min(n_pairs, (c + 1) * pair_chunk),
                       {rate, dt, &parts_[c]});
        }
#pragma omp for schedule(static)
        for (Index e = 0; e < n_elements; ++e)
            gather_element(e);
#pragma omp for schedule(static)
        for (Index c = 0; c < n_node_parts; ++c) {
            double omega_squared = 0.0;
            for (Index i = c * node_chunk; i < std::min(n_nodes, (c + 1) * node_chunk); ++i)
                omega_squared = std::max(omega_squared, gather_node(i, load[i]));
            node_parts_[c] = omega_squared;
        }
    }
    join_reports();
}

void StrutContact::check_motion(std::span<const NodeRate> rate, double dt) const {
    const double limit = settings_.move_share * smallest_radius_;
    const Index n_nodes = static_cast<Index>(rate.size());
    Index bad = no_index;
#pragma omp parallel for schedule(static) reduction(min : bad) if (n_nodes > small_net)
    for (Index i = 0; i < n_nodes; ++i) {
        const double v =
            rate[i].vx * rate[i].vx + rate[i].vy * rate[i].vy + rate[i].vz * rate[i].vz;
        if (!(v * dt * dt <= limit * limit))
            bad = std::min(bad, i);
    }
    if (bad == no_index)
        return;
    const NodeRate& r = rate[bad];
    throw run_error(
        "contact: node {} moves {:.3g} m in one step of {:.3g} s; at most {:.3g} m ({} of "
        "the smallest radius) can be followed: lower the step or the speed",
        bad, dt * Vec3(r.vx, r.vy, r.vz).norm(), dt, limit, settings_.move_share);
}

void StrutContact::place_capsules(std::span<const NodePose> pose, const Vec3& box) {
    const Index n_elements = static_cast<Index>(elements_.size());
#pragma omp parallel for schedule(static) if (n_elements > small_net)
    for (Index e = 0; e < n_elements; ++e) {
        const Element& element = elements_[e];
        const Vec3 start = place(pose[element.a]);
        const Vec3 along = place(pose[element.b]) + shifted(element.image_b, box) - start;
        capsules_[e] = {start.x(), start.y(), start.z(),      along.x(),
                        along.y(), along.z(), element.radius, element.reference_length};
    }
}

void StrutContact::load_pairs(Index begin, Index end, const Step& step) {
    for (Index k = begin; k < end; ++k)
        load_pair(k, step);
}

void StrutContact::load_pair(Index pair, const Step& step) {
    const PairKey& key = pairs_[pair];
    const Capsule &a = capsules_[key.first], &b = capsules_[key.second];
    const Vec3 d0 = a.start() - b.start() - shifted(key.shift, last_box_);
    const ClosestPoints closest =
        closest_points(d0, a.along(), b.along(), pair_weight(a, b, settings_.regularisation));
    const double depth = a.radius + b.radius - closest.distance;
    touching_[pair] = depth > 0.0 ? 1 : 0;
    if (depth <= 0.0) {
        if (!springs_[pair].isZero(0.0)) // a contact that opens loses its spring to slip
            add_friction(pair, closest, 0.0, step);
        return;
    }
    ContactReport& part = *step.part;
    const Penalty penalty = pair_penalty(key);
    const double force = penalty.force(depth);
    // f = -dU/dp = F dD/dp = F (p - q)/D; D is zero only if p - q is.
    pair_loads_[pair] = {.force = force / std::max(closest.distance, 1e-300) * closest.difference,
                         .s = closest.s,
                         .t = closest.t,
                         .tangent = penalty.tangent(depth)};
    part.normal_energy += penalty.energy(depth);
    ++part.n_touching;
    const double share = depth / std::min(a.radius, b.radius);
    if (share > part.deepest_share) {
        part.deepest_share = share;
        part.deepest = key;
    }
    if (settings_.friction > 0.0)
        add_friction(pair, closest, force, step);
    // The ends depend on the box through their images: dU/dbox = -f d(p - q)/dbox.
    for (int i = 0; i < 3; ++i)
        part.box_gradient[i] -= pair_loads_[pair].force[i] * image_share(key, closest, i);
}

// d(p - q)_i / d box_i at fixed nodes.
double StrutContact::image_share(const PairKey& key, const ClosestPoints& c, int axis) const {
    return c.s * elements_[key.first].image_b[axis] - c.t * elements_[key.second].image_b[axis] -
           key.shift[axis];
}

Penalty StrutContact::pair_penalty(const PairKey& key) const {
    const Element &a = elements_[key.first], &b = elements_[key.second];
    return {.stiffness = std::min(a.stiffness, b.stiffness),
            .cap = settings_.cap_share * std::min(a.radius, b.radius)};
}

void StrutContact::add_friction(Index pair,
                                const ClosestPoints& closest,
                                double normal_force,
                                const Step& step) {
    const PairKey& key = pairs_[pair];
    const double distance = closest.difference.norm();
    if (distance == 0.0) // centre lines cross: no normal, no plane to slide in
        return;
    const Vec3 normal = closest.difference / distance;
    // The surfaces meet between p - r_a n and q + r_b n; take the middle of the overlap.
    const double radius_a = elements_[key.first].radius, radius_b = elements_[key.second].radius;
    const double to_meeting = 0.5 * (distance + radius_a - radius_b);
    const Vec3 arm_a = -to_meeting * normal, arm_b = (distance - to_meeting) * normal;

    Vec3 slide = step.dt * slide_rate(key, closest, arm_a, arm_b, step.rate);
    slide -= normal.dot(slide) * normal;
    const double stiffness = settings_.tangent_share * pair_penalty(key).stiffness;
    const SpringStep next = advance_spring(turned_into_plane(springs_[pair], normal), slide,
                                           stiffness, settings_.friction * normal_force);
    springs_[pair] = next.elongation;
    step.part->friction_dissipation += next.dissipation;
    step.part->tangential_energy += 0.5 * stiffness * next.elongation.squaredNorm();

    const Vec3 traction = -stiffness * next.elongation;
    PairLoad& out = pair_loads_[pair]; // read only if the pair touches
    out.force += traction;
    out.moment_a = arm_a.cross(traction);
    out.moment_b = -arm_b.cross(traction);
}

Vec3 StrutContact::slide_rate(const PairKey& key,
                              const ClosestPoints& closest,
                              const Vec3& arm_a,
                              const Vec3& arm_b,
                              std::span<const NodeRate> rate) const {
    const auto at = [&](const Element& element, double w, const Vec3& arm) {
        const NodeRate &i = rate[element.a], &j = rate[element.b];
        const Vec3 v = (1.0 - w) * Vec3(i.vx, i.vy, i.vz) + w * Vec3(j.vx, j.vy, j.vz);
        const Vec3 omega = (1.0 - w) * Vec3(i.wx, i.wy, i.wz) + w * Vec3(j.wx, j.wy, j.wz);
        return Vec3(v + omega.cross(arm));
    };
    Vec3 slide =
        at(elements_[key.first], closest.s, arm_a) - at(elements_[key.second], closest.t, arm_b);
    for (int i = 0; i < 3; ++i) {
        const double share = image_share(key, closest, i);
        slide[i] += share != 0.0 ? share * box_rate_[i] : 0.0;
    }
    return slide;
}

void StrutContact::gather_element(Index e) {
    EndLoad &a = end_loads_[2 * e], &b = end_loads_[2 * e + 1];
    bool touching = false;
    for (Index u = use_begin_[e]; u < use_begin_[e + 1]; ++u) {
        const Index k = use_pairs_[u] / 2, side = use_pairs_[u] % 2;
        if (touching_[k] == 0)
            continue;
        if (!touching)
            a = b = EndLoad{};
        touching = true;
        const PairLoad& pair = pair_loads_[k];
        const double w = side == 0 ? pair.s : pair.t, sign = side == 0 ? 1.0 : -1.0;
        const Vec3& moment = side == 0 ? pair.moment_a : pair.moment_b;
        a.force += (1.0 - w) * sign * pair.force;
        b.force += w * sign * pair.force;
        a.moment += (1.0 - w) * moment;
        b.moment += w * moment;
        a.tangent += (1.0 - w) * pair.tangent;
        b.tangent += w * pair.tangent;
    }
    element_touching_[e] = touching ? 1 : 0;
}

double StrutContact::gather_node(Index node, NodeLoad& load) const {
    EndLoad sum;
    for (Index k = node_begin_[node]; k < node_begin_[node + 1]; ++k) {
        const Index end = node_ends_[k];
        if (element_touching_[end / 2] == 0)
            continue;
        sum.force += end_loads_[end].force;
        sum.moment += end_loads_[end].moment;
        sum.tangent += end_loads_[end].tangent;
    }
    if (sum.tangent == 0.0)
        return 0.0;
    load.fx += sum.force.x();
    load.fy += sum.force.y();
    load.fz += sum.force.z();
    load.mx += sum.moment.x();
    load.my += sum.moment.y();
    load.mz += sum.moment.z();
    return 2.0 * sum.tangent / node_mass_[node];
}

void StrutContact::join_reports() {
    ContactReport sum;
    sum.n_candidates = static_cast<Index>(pairs_.size());
    sum.n_rebuilds = report_.n_rebuilds;
    for (const ContactReport& part : parts_)
        sum.add(part);
    for (const double part : node_parts_)
        sum.omega_squared = std::max(sum.omega_squared, part);
    report_ = sum;
}

} // namespace cellgrade
