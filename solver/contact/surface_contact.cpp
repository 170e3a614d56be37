// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/surface_contact.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <bit>
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
#pragma omp parallel for schedule(dynamic) if (n_pairs > small_job)
    for (int p = 0; p < n_parts; ++p)
        load_part(p, dt);
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
        points_[v] = {.x = p.x, .y = p.y, .z = p.z};
        v_[v] = {.x = r.vx, .y = r.vy, .z = r.vz};
        const double speed = std::sqrt(r.vx * r.vx + r.vy * r.vy + r.vz * r.vz);
        fastest = std::max(fastest, speed);
        if (!(speed * dt <= settings_.layer_move_share * thickness_[v]))
            bad = std::min(bad, v);
    }
    if (bad != no_index)
        throw run_error("contact: node {} moves {:.3g} m in one step of {:.3g} s; at most {:.3g} m "
                        "({} of its contact layer) can be followed: lower the step or the speed",
                        surface_.nodes[bad], dt * std::hypot(v_[bad].x, v_[bad].y, v_[bad].z), dt,
                        settings_.layer_move_share * thickness_[bad], settings_.layer_move_share);
    reach_ = 2.0 * fastest * dt;
    path_ += 2.0 * std::sqrt(farthest);
}

double SurfaceContact::gather_vertex(Index v, NodeLoad& load) {
    if (std::bit_cast<std::uint64_t>(loaded_by_[v]) == 0)
        return 0.0;
    VertexLoad sum{};
    for (int p = 0; p < n_parts; ++p) {
        if (loaded_by_[v][p] == 0)
            continue;
        VertexLoad& part = parts_[p].loads[v];
        sum.fx += part.fx;
        sum.fy += part.fy;
        sum.fz += part.fz;
        sum.tangent += part.tangent;
        part = {};
    }
    loaded_by_[v] = {};
    load.fx += sum.fx;
    load.fy += sum.fy;
    load.fz += sum.fz;
    return sum.tangent / layer_.vertices[v].mass;
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
    PairPlaces at;
    for (int i = 0; i < 4; ++i)
        at[i] = pair.place(i, x_, last_box_);
    const double distance = nearest_points(pair.kind, at).distance;
    throw run_error("contact: surfaces near node {} at ({:.4g}, {:.4g}, {:.4g}) m have used up "
                    "their contact layer: {:.3g} m of {:.3g} m are left; lower the step or the "
                    "speed, or refine the mesh there",
                    surface_.nodes[pair.vertex[0]], at[0].x(), at[0].y(), at[0].z(), distance,
                    pair.layer);
}

} // namespace cellgrade
