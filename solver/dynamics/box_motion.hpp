// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/dynamics/node_motion.hpp"

#include <array>
#include <functional>

namespace cellgrade {

/// How one edge of the periodic box moves.
enum class BoxEdge {
    Fixed,      ///< keeps its length (also: not periodic)
    Free,       ///< moves so that the mean stress across it vanishes; carries a mass
    Prescribed, ///< driven with a given rate
};

/// The box lengths as freedoms of their own, in step with the nodes.
///
///   (M + M_c) (V+ - V-)/dt = -dU/dL - alpha M (V+ + V-)/2        L' = L + dt_next V+
///
/// A node keeps its unwrapped position; only elements and contacts that cross the border feel L.
/// The mass M of a free edge is numerical: it must be small against inertia that matters (kinetic
/// share is part of the ledger) and large enough not to lower the stable step. Source: moving
/// periodic border after Parrinello & Rahman (1981), J Appl Phys 52:7182, restricted to edge
/// lengths (from memory).
class BoxMotion {
public:
    BoxMotion() = default;
    BoxMotion(const Vec3& lengths, const std::array<BoxEdge, 3>& edges, double mass);

    /// Rate of the prescribed edges, asked for at the half step [m/s].
    void set_rate(std::function<Vec3(double time)> rate) { rate_ = std::move(rate); }

    /// One step; `load` is -dU/dL per axis at t_n [N]. Adds to `sums`.
    /// @param carried_mass  M_c, of nodes that move with free edges; their energy is theirs [kg]
    void advance(const Vec3& load,
                 const StepTimes& times,
                 double alpha,
                 MotionSums& sums,
                 const Vec3& carried_mass = Vec3::Zero());

    /// 1 / L along free edges, else 0 [1/m].
    [[nodiscard]] Vec3 per_free_length() const;

    [[nodiscard]] const Vec3& lengths() const { return lengths_; }
    [[nodiscard]] const Vec3& velocity() const { return velocity_; }
    /// Force that drives the prescribed edges in the last step, positive outward [N].
    [[nodiscard]] const Vec3& reaction() const { return reaction_; }

    struct State {
        Vec3 lengths = Vec3::Zero();
        Vec3 velocity = Vec3::Zero();
    };
    [[nodiscard]] State save() const { return {lengths_, velocity_}; }
    void restore(const State& s) {
        lengths_ = s.lengths;
        velocity_ = s.velocity;
    }

private:
    Vec3 lengths_ = Vec3::Zero();
    Vec3 velocity_ = Vec3::Zero();
    Vec3 reaction_ = Vec3::Zero();
    std::array<BoxEdge, 3> edges_{BoxEdge::Fixed, BoxEdge::Fixed, BoxEdge::Fixed};
    double mass_ = 1.0;
    std::function<Vec3(double)> rate_;
};

} // namespace cellgrade
