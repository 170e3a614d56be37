// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_contact.hpp"

#include "solver/contact/friction_spring.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

void SurfaceContact::add_loads(std::span<const NodePose> pose,
                               std::span<const NodeRate> rate,
                               const Vec3& box,
                               double dt,
                               std::span<NodeLoad> load) {
    CELLGRADE_ASSERT(pose.size() == rate.size() && pose.size() == load.size());
    place_vertices(pose, rate, dt);
    const MotionSince motion = motion_since(built_, x_, box, surface_.periodic);
    if (motion.not_finite != no_index)
        throw run_error("contact: the position of node {} is not finite",
                        surface_.nodes[motion.not_finite]);
    // An unlisted pair had D >= layer + margin, now D >= (1 - stretch)(layer + margin) - 2 rest.
    const double nearer = 2.0 * motion.rest + motion.stretch * (layer_.thickest + margin_);
    if (!(nearer <= margin_))
        rebuild(box);
    path_ += (box - last_box_).norm() * most_boxes;
    box_rate_ = dt > 0.0 ? Vec3((box - last_box_) / dt) : Vec3::Zero();
    last_box_ = box;

    const auto n_pairs = static_cast<Index>(pairs_.size());
    const auto n_parts = static_cast<Index>(parts_.size());
#pragma omp parallel for schedule(static) if (n_pairs > small_job)
    for (Index c = 0; c < n_parts; ++c) {
        Part part;
        for (Index k = c * pair_chunk; k < std::min(n_pairs, (c + 1) * pair_chunk); ++k)
            if (!(path_ < wakes_[k]))
                load_pair(k, dt, part);
        parts_[c] = part;
    }
    list_uses();
    const Index n_vertices = surface_.n_vertices();
    const auto n_vertex_parts = static_cast<Index>(vertex_parts_.size());
#pragma omp parallel for schedule(static) if (n_vertices > small_job)
    for (Index c = 0; c < n_vertex_parts; ++c) {
        double most = 0.0;
        for (Index v = c * vertex_chunk; v < std::min(n_vertices, (c + 1) * vertex_chunk); ++v)
            most = std::max(most, gather_vertex(v, load[surface_.nodes[v]]));
        vertex_parts_[c] = most;
    }
    join_parts();
}

void SurfaceContact::place_vertices(std::span<const NodePose> pose,
                                    std::span<const NodeRate> rate,
                                    double dt) {
    const Index n = surface_.n_vertices();
    Index bad = no_index;
    double fastest = 0.0, farthest = 0.0;
    // clang-format off
#pragma omp parallel for schedule(static) reduction(max : fastest, farthest) reduction(min : bad) if (n > small_job)
    // clang-format on
    for (Index v = 0; v < n; ++v) {
        const NodePose& p = pose[surface_.nodes[v]];
        const NodeRate& r = rate[surface_.nodes[v]];
        const Vec3 now(p.x, p.y, p.z);
        farthest = std::max(farthest, (now - x_[v]).squaredNorm());
        x_[v] = now;
        v_[v] = {r.vx, r.vy, r.vz};
        const double speed = v_[v].norm();
        fastest = std::max(fastest, speed);
        if (!(speed * dt <= settings_.layer_move_share * thickness_[v]))
            bad = std::min(bad, v);
    }
    if (bad != no_index)
        throw run_error("contact: node {} moves {:.3g} m in one step of {:.3g} s; at most {:.3g} m "
                        "({} of its contact layer) can be followed: lower the step or the speed",
                        surface_.nodes[bad], dt * v_[bad].norm(), dt,
                        settings_.layer_move_share * thickness_[bad], settings_.layer_move_share);
    reach_ = 2.0 * fastest * dt;
    path_ += 2.0 * std::sqrt(farthest);
}

PairPlaces SurfaceContact::places(const SurfacePair& pair) const {
    PairPlaces at;
    for (int i = 0; i < 4; ++i)
        at[i] = pair.place(i, x_, last_box_);
    return at;
}

PairPlaces SurfaceContact::velocities(const SurfacePair& pair) const {
    PairPlaces velocity;
    for (int i = 0; i < 4; ++i)
        velocity[i] = pair.place(i, v_, box_rate_);
    return velocity;
}

void SurfaceContact::load_pair(Index k, double dt, Part& part) {
    const SurfacePair& pair = pairs_[k];
    const PairPlaces at = places(pair);
    const NearestPoints near = nearest_points(pair.kind, at);
    const double depth = pair.layer - near.distance;
    const bool has_spring = !springs_[k].isZero(0.0);
    // Written so that a distance that is not a number goes on and fails.
    if (depth <= 0.0 && near.distance >= reach_ && !has_spring) {
        wakes_[k] = path_ + near.distance - std::max(pair.layer, most_reach_);
        return;
    }
    const PairPlaces velocity = velocities(pair);
    const Normal normal = press(pair, at, depth);
    if (normal.weight.value >= guarding_weight &&
        (!(depth <= used_up * pair.layer) || may_have_passed(near, velocity, dt)))
        part.failed = std::min(part.failed, k);
    if (!(near.distance > 0.0) || (depth <= 0.0 && !has_spring))
        return;

    PairLoad& out = pair_loads_[k];
    for (int i = 0; i < 4; ++i) {
        out.force[i] = normal.force * near.share[i] / near.distance * near.difference;
        out.tangent[i] = 2.0 * std::abs(near.share[i]) * normal.tangent;
    }
    if (pair.kind == SurfacePair::Kind::EdgeEdge && normal.weight.value < 1.0) {
        const double unweighted = normal.energy / std::max(normal.weight.value, 1e-300);
        out.force[0] += unweighted * normal.weight.by_u;
        out.force[1] -= unweighted * normal.weight.by_u;
        out.force[2] += unweighted * normal.weight.by_v;
        out.force[3] -= unweighted * normal.weight.by_v;
    }
    if (settings_.friction > 0.0) {
        const PairSlide slide(at, near);
        add_friction(k, slide, dt * slide.rate(velocity), settings_.friction * normal.force, part);
    }
    if (depth <= 0.0)
        return;
    touched_[k / pair_chunk * pair_chunk + part.n_touched++] = k;
    part.report.normal_energy += normal.energy;
    ++part.report.n_touching;
    note_depth(k, depth, part.report);
    if (pair.has_image) // places depend on the box through their images: dU/dbox = -f image
        for (int i = 0; i < 4; ++i)
            for (int axis = 0; axis < 3; ++axis)
                part.report.box_gradient[axis] -= out.force[i][axis] * pair.image[i][axis];
}

// Whether the nearest points came as near to each other in the step as they are now, or nearer.
bool SurfaceContact::may_have_passed(const NearestPoints& near,
                                     const PairPlaces& velocity,
                                     double dt) const {
    Vec3 apart = Vec3::Zero();
    for (int i = 0; i < 4; ++i)
        apart += near.share[i] * velocity[i];
    return !(std::abs(near.difference.dot(apart)) * dt < near.distance * near.distance);
}

SurfaceContact::Normal
SurfaceContact::press(const SurfacePair& pair, const PairPlaces& at, double depth) const {
    const Penalty penalty{.stiffness = pair.stiffness, .cap = pair.layer};
    Normal normal;
    if (pair.kind == SurfacePair::Kind::EdgeEdge)
        normal.weight = edge_weight(at[1] - at[0], at[3] - at[2]);
    if (depth <= 0.0)
        return normal;
    const double w = normal.weight.value;
    normal.force = w * penalty.force(depth);
    normal.energy = w * penalty.energy(depth);
    normal.tangent = w * penalty.tangent(depth);
    if (settings_.friction > 0.0) // the spring may be the stiffer one where w is small
        normal.tangent = std::max(normal.tangent, settings_.layer_tangent_share * pair.stiffness);
    return normal;
}

void SurfaceContact::add_friction(
    Index k, const PairSlide& slide, const Vec3& moved, double limit, Part& part) {
    const double stiffness = settings_.layer_tangent_share * pairs_[k].stiffness;
    const SpringStep next =
        advance_spring(turned_into_plane(springs_[k], slide.normal), moved, stiffness, limit);
    springs_[k] = next.elongation;
    part.report.friction_dissipation += next.dissipation;
    part.report.tangential_energy += 0.5 * stiffness * next.elongation.squaredNorm();
    const PairPlaces force = slide.forces(-stiffness * next.elongation);
    for (int i = 0; i < 4; ++i)
        pair_loads_[k].force[i] += force[i];
}

void SurfaceContact::note_depth(Index k, double depth, ContactReport& part) const {
    double edge = surface_.edge_length[pairs_[k].vertex[0]];
    for (const Index v : pairs_[k].vertex)
        edge = std::min(edge, surface_.edge_length[v]);
    const double share = 0.5 * depth / edge; // an element is two edges of its triangles long
    if (share > part.deepest_share) {
        part.deepest_share = share;
        part.deepest = keys_[k];
    }
}

// The pairs in touch of each vertex, by a counting sort: far fewer than those that are near.
void SurfaceContact::list_uses() {
    const auto for_touched = [&](auto&& visit) {
        for (std::size_t c = 0; c < parts_.size(); ++c)
            for (Index i = 0; i < parts_[c].n_touched; ++i) {
                const Index k = touched_[static_cast<Index>(c) * pair_chunk + i];
                for (int place = 0; place < 4; ++place)
                    visit(4 * k + place, pairs_[k].vertex[place]);
            }
    };
    // counts two places on, so that filling moves each start to where it belongs
    use_begin_.assign(surface_.nodes.size() + 2, 0);
    for_touched([&](Index /*use*/, Index v) { ++use_begin_[v + 2]; });
    for (std::size_t v = 2; v < use_begin_.size(); ++v)
        use_begin_[v] += use_begin_[v - 1];
    uses_.resize(use_begin_.back());
    for_touched([&](Index use, Index v) { uses_[use_begin_[v + 1]++] = use; });
}

double SurfaceContact::gather_vertex(Index v, NodeLoad& load) const {
    Vec3 force = Vec3::Zero();
    double tangent = 0.0;
    for (Index u = use_begin_[v]; u < use_begin_[v + 1]; ++u) {
        const Index k = uses_[u] / 4, place = uses_[u] % 4;
        force += pair_loads_[k].force[place];
        tangent += pair_loads_[k].tangent[place];
    }
    if (tangent == 0.0 && force.isZero(0.0))
        return 0.0;
    load.fx += force.x();
    load.fy += force.y();
    load.fz += force.z();
    return tangent / layer_.vertices[v].mass;
}

void SurfaceContact::join_parts() {
    ContactReport sum;
    sum.n_candidates = static_cast<Index>(pairs_.size());
    sum.n_rebuilds = report_.n_rebuilds;
    Index failed = no_index;
    for (const Part& part : parts_) {
        failed = std::min(failed, part.failed);
        sum.add(part.report);
    }
    for (const double part : vertex_parts_)
        sum.omega_squared = std::max(sum.omega_squared, part);
    report_ = sum;
    if (failed != no_index)
        throw_failed(failed);
}

void SurfaceContact::throw_failed(Index k) const {
    const SurfacePair& pair = pairs_[k];
    const PairPlaces at = places(pair);
    const double distance = nearest_points(pair.kind, at).distance;
    throw run_error("contact: surfaces near node {} at ({:.4g}, {:.4g}, {:.4g}) m have used up "
                    "their contact layer: {:.3g} m of {:.3g} m are left; lower the step or the "
                    "speed, or refine the mesh there",
                    surface_.nodes[pair.vertex[0]], at[0].x(), at[0].y(), at[0].z(), distance,
                    pair.layer);
}

} // namespace cellgrade
