// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/beam_kernel.hpp"
#include "solver/elements/node_arrays.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <span>

/// Between memory and the beam kernel: node records to lanes and back, and the loop over elements.
/// Inside `solver/elements` only.
namespace cellgrade {

/// What every element of a call shares.
struct BeamInput {
    const NodePose* poses;
    std::array<double, 3> box; ///< [m]
    double dt;                 ///< [s]
    double per_dt;             ///< 1/dt, or 0 with dt = 0 [1/s]

    BeamInput(std::span<const NodePose> nodes, const Vec3& box_size, double step) noexcept
        : poses(nodes.data()), box{box_size.x(), box_size.y(), box_size.z()}, dt(step),
          per_dt(step > 0.0 ? 1.0 / step : 0.0) {}
};

template <class S>
struct PoseLanes {
    lane::Vector<S> x;
    lane::Quaternion<S> q;
};

/// Poses of the nodes of lanes_of<S> elements: one aligned record a node, turned into lanes in
/// registers (a gather of single doubles takes seven loads a node instead).
template <class S>
[[nodiscard]] CELLGRADE_INLINE PoseLanes<S> load_poses(const NodePose* poses,
                                                       const Index* nodes) noexcept {
    if constexpr (lanes_of<S> == 1) {
        const NodePose& p = poses[*nodes];
        return {{p.x, p.y, p.z}, {p.qw, p.qx, p.qy, p.qz}};
    } else {
        constexpr int width = lanes_of<S>;
        std::array<S, 8> column;
        for (int part = 0; part < 8; part += width) {
            std::array<S, width> square;
            for (int i = 0; i < width; ++i)
                square[i] = load_lanes<S>(&poses[nodes[i]].x + part);
            transpose(square);
            for (int i = 0; i < width; ++i)
                column[part + i] = square[i];
        }
        return {{column[0], column[1], column[2]}, {column[3], column[4], column[5], column[6]}};
    }
}

template <class S>
[[nodiscard]] CELLGRADE_INLINE lane::BeamState<S>
state_of_lanes(const BeamGroup& group, int lane, const BeamInput& input) noexcept {
    const PoseLanes<S> a = load_poses<S>(input.poses, &group.node_a[lane]);
    const PoseLanes<S> b = load_poses<S>(input.poses, &group.node_b[lane]);
    const auto from = [lane](const Lanes& lanes) { return load_lanes<S>(&lanes[lane]); };
    const lane::Vector<S> a_to_b = {b.x.x - a.x.x + input.box[0] * from(group.image[0]),
                                    b.x.y - a.x.y + input.box[1] * from(group.image[1]),
                                    b.x.z - a.x.z + input.box[2] * from(group.image[2])};
    const lane::Quaternion<S> q0 = {from(group.q0[0]), from(group.q0[1]), from(group.q0[2]),
                                    from(group.q0[3])};
    return lane::beam_state(a.q, b.q, q0, a_to_b, from(group.inv_h));
}

/// Writes the loads of n_used elements on their ends; slots[0] is end a of the first, slots[1] its
/// end b.
template <class S>
CELLGRADE_INLINE void store_end(const lane::Vector<S>& force,
                                const lane::Vector<S>& moment,
                                NodeLoad* slots,
                                int n_used) noexcept {
    if constexpr (lanes_of<S> == 1) {
        slots[0] = {force.x, force.y, force.z, moment.x, moment.y, moment.z};
    } else {
        constexpr int width = lanes_of<S>;
        const std::array<S, 8> column = {force.x,  force.y,  force.z, moment.x,
                                         moment.y, moment.z, S(0.0),  S(0.0)};
        for (int part = 0; part < 8; part += width) {
            std::array<S, width> square;
            for (int i = 0; i < width; ++i)
                square[i] = column[part + i];
            transpose(square);
            if (n_used >= width) {
                for (int i = 0; i < width; ++i)
                    store_lanes(square[i], &slots[2 * i].fx + part);
            } else {
                for (int i = 0; i < n_used; ++i)
                    store_lanes(square[i], &slots[2 * i].fx + part);
            }
        }
    }
}

template <class S>
CELLGRADE_INLINE void
store_loads(const lane::BeamLoads<S>& loads, NodeLoad* slots, int n_used) noexcept {
    store_end(loads.force_a, loads.moment_a, slots, n_used);
    store_end(loads.force_b, loads.moment_b, slots + 1, n_used);
}

/// Viscous axial force of this call; its work over the step by the trapezoidal rule, as the
/// integrator counts it, goes to `dissipated`.
template <class S>
CELLGRADE_INLINE S
viscous_force(BeamGroup& group, int lane, const lane::BeamState<S>& s, double per_dt) noexcept {
    const S step = s.Gamma.x - load_lanes<S>(&group.Gamma1[lane]);
    const S N = (per_dt * load_lanes<S>(&group.viscosity[lane])) * step;
    const S mean = 0.5 * (N + load_lanes<S>(&group.viscous_N[lane]));
    const S work = load_lanes<S>(&group.h[lane]) * mean * step;
    store_lanes<S>(load_lanes<S>(&group.dissipated[lane]) + work, &group.dissipated[lane]);
    store_lanes<S>(s.Gamma.x, &group.Gamma1[lane]);
    store_lanes<S>(N, &group.viscous_N[lane]);
    return N;
}

/// Calls kernel(group, first element, elements used) for every run of lanes_of<S> elements and
/// returns the lowest element whose bit it sets.
template <class S, class Kernel>
Index for_lanes(BeamBlock& block, Kernel&& kernel) noexcept {
    const auto n_groups = static_cast<Index>(block.groups.size());
    Index failed = no_index;
#pragma omp parallel for schedule(static) reduction(min : failed) if (block.n_elements > small_job)
    for (Index group = 0; group < n_groups; ++group)
        for (int lane = 0; lane < group_lanes; lane += lanes_of<S>) {
            const Index e = group * group_lanes + lane;
            const int n_used = std::min(lanes_of<S>, block.n_elements - e);
            if (n_used <= 0)
                break;
            const unsigned bits = kernel(block.groups[group], e, n_used) & ((1U << n_used) - 1U);
            if (bits != 0U)
                failed = std::min(failed, e + std::countr_zero(bits));
        }
    return failed;
}

} // namespace cellgrade
