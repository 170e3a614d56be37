// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_forces.hpp"

#include "solver/elements/beam_lanes.hpp"

#include <algorithm>

namespace cellgrade {
namespace {

using lane::BeamState;
using lane::Vector;

template <class S>
CELLGRADE_INLINE Vector<S>
elastic_force(const BeamGroup& group, int lane, const BeamState<S>& s) noexcept {
    const S kGA = load_lanes<S>(&group.kGA[lane]);
    return {load_lanes<S>(&group.EA[lane]) * s.Gamma.x, kGA * s.Gamma.y, kGA * s.Gamma.z};
}

template <class S>
CELLGRADE_INLINE Vector<S>
elastic_moment(const BeamGroup& group, int lane, const BeamState<S>& s) noexcept {
    const S EI = load_lanes<S>(&group.EI[lane]);
    return {load_lanes<S>(&group.GJ[lane]) * s.kappa.x, EI * s.kappa.y, EI * s.kappa.z};
}

/// Lanes lane .. lane + lanes_of<S> - 1 of a group. Returns the bits of those that fail.
template <class S, WithEnergy energy, bool viscous>
CELLGRADE_INLINE unsigned resultant_lanes(
    BeamGroup& group, int lane, const BeamInput& input, NodeLoad* slots, int n_used) noexcept {
    const BeamState<S> s = state_of_lanes<S>(group, lane, input);
    Vector<S> N = elastic_force(group, lane, s);
    const Vector<S> M = elastic_moment(group, lane, s);
    if constexpr (energy == WithEnergy::Yes) {
        const S density = 0.5 * (dot(N, s.Gamma) + dot(M, s.kappa));
        store_lanes<S>(load_lanes<S>(&group.h[lane]) * density, &group.stored[lane]);
    }
    if constexpr (viscous)
        N.x += viscous_force(group, lane, s, input.per_dt);
    store_loads(lane::beam_loads(s, N, M), slots, n_used);
    return lane_bits(!is_sound(s));
}

template <class S, WithEnergy energy, bool viscous>
Index resultant_forces(BeamBlock& block, const BeamInput& input, NodeLoad* slots) noexcept {
    return for_lanes<S>(
        block, [&](BeamGroup & group, Index e, int n_used) __attribute__((always_inline)) {
            return resultant_lanes<S, energy, viscous>(group, e % group_lanes, input, slots + 2 * e,
                                                       n_used);
        });
}

template <class S>
Index choose(BeamBlock& block,
             const BeamInput& input,
             NodeLoad* slots,
             WithEnergy energy) noexcept {
    using enum WithEnergy;
    if (block.has_viscosity)
        return energy == Yes ? resultant_forces<S, Yes, true>(block, input, slots)
                             : resultant_forces<S, No, true>(block, input, slots);
    return energy == Yes ? resultant_forces<S, Yes, false>(block, input, slots)
                         : resultant_forces<S, No, false>(block, input, slots);
}

} // namespace

Index beam_forces(BeamBlock& block,
                  std::span<const NodePose> poses,
                  const Vec3& box,
                  double dt,
                  std::span<NodeLoad> slots,
                  WithEnergy energy) noexcept {
    return choose<Pack>(block, BeamInput(poses, box, dt), slots.data(), energy);
}

Index beam_forces_scalar(BeamBlock& block,
                         std::span<const NodePose> poses,
                         const Vec3& box,
                         double dt,
                         std::span<NodeLoad> slots,
                         WithEnergy energy) noexcept {
    return choose<double>(block, BeamInput(poses, box, dt), slots.data(), energy);
}

void beam_resultants(const BeamBlock& block,
                     std::span<const NodePose> poses,
                     const Vec3& box,
                     std::span<BeamResultants> out) noexcept {
    const BeamInput input(poses, box, 0.0);
    for (Index e = 0; e < block.n_elements; ++e) {
        const BeamGroup& group = block.groups[e / group_lanes];
        const int lane = e % group_lanes;
        const BeamState<double> s = state_of_lanes<double>(group, lane, input);
        const Vector<double> N = elastic_force(group, lane, s);
        const Vector<double> M = elastic_moment(group, lane, s);
        out[e] = {.Gamma = {s.Gamma.x, s.Gamma.y, s.Gamma.z},
                  .kappa = {s.kappa.x, s.kappa.y, s.kappa.z},
                  .N = {N.x, N.y, N.z},
                  .M = {M.x, M.y, M.z}};
    }
}

} // namespace cellgrade
