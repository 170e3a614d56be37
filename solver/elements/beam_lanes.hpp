// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/beam_kernel.hpp"
#include "solver/elements/node_arrays.hpp"

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

template <class S>
PoseLanes<S> load_poses(const NodePose* poses, const Index* nodes) noexcept;

template <>
inline PoseLanes<double> load_poses<double>(const NodePose* poses, const Index* nodes) noexcept {
    const NodePose& p = poses[*nodes];
    return {{p.x, p.y, p.z}, {p.qw, p.qx, p.qy, p.qz}};
}

template <class S>
lane::BeamState<S>
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

/// Writes the first n_used elements; slots[0] is end a of the first.
inline void
store_loads(const lane::BeamLoads<double>& loads, NodeLoad* slots, int /*n_used*/) noexcept {
    const auto& [fa, ma, fb, mb] = loads;
    slots[0] = {.fx = fa.x, .fy = fa.y, .fz = fa.z, .mx = ma.x, .my = ma.y, .mz = ma.z};
    slots[1] = {.fx = fb.x, .fy = fb.y, .fz = fb.z, .mx = mb.x, .my = mb.y, .mz = mb.z};
}

/// Calls kernel(group, first element, elements used) for every run of lanes_of<S> elements and
/// returns the lowest element whose bit it sets.
template <class S, class Kernel>
Index for_lanes(BeamBlock& block, Kernel&& kernel) noexcept {
    const auto n_groups = static_cast<Index>(block.groups.size());
    Index failed = no_index;
#pragma omp parallel for schedule(static) reduction(min : failed)
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
