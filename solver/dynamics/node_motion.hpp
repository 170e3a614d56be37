// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/dynamics/motion_group.hpp"
#include "solver/dynamics/node_inertia.hpp"
#include "solver/elements/node_arrays.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Times of one step of the central-difference scheme.
struct StepTimes {
    double dt = 0.0;      ///< from half step to half step: mean of the last and the coming step [s]
    double dt_next = 0.0; ///< the coming step [s]
    double half_time = 0.0; ///< t_n + dt_next/2, where group rates are asked for [s]
};

/// Mass-proportional damping against a uniform flow u = stretch_rate x (component-wise) +
/// shear_rate z e_x, so that the affine part of a crush is not braked: only what departs from it
/// is.
struct Damping {
    double alpha = 0.0;               ///< [1/s]
    Vec3 stretch_rate = Vec3::Zero(); ///< du/dx along each axis [1/s]
    double shear_rate = 0.0;          ///< du_x/dz [1/s]
};

/// Rates of the periodic box before and after a step's push, for groups that are carried along
/// [m/s].
struct BoxRates {
    Vec3 before = Vec3::Zero();
    Vec3 now = Vec3::Zero();
};

/// Sums over nodes of one step.
///
/// The kinetic energy at t_n is the product form m v- . v+ / 2, and a work at t_n counts the force
/// at t_n with v- only. In these forms the trapezoidal work of a linear spring and the change of
/// kinetic energy cancel exactly over a step, whatever w dt; means of squares would swing by (w
/// dt)^2/4 in a stiff contact.
struct MotionSums {
    double kinetic = 0.0;        ///< at t_n [J]
    double damping_before = 0.0; ///< dissipated from n - 1/2 to t_n [J]
    double damping_work = 0.0;   ///< dissipated from n - 1/2 to n + 1/2 [J]
    double load_before = 0.0;    ///< work of supports and driven edges from n - 1/2 to t_n [J]
    double load_work = 0.0;      ///< the same from n - 1/2 to n + 1/2 [J]
    double largest_move = 0.0;   ///< largest displacement of a node in the step [m]
};

/// State of the nodes and one central-difference step of all of them.
///
///   m (v+ - v-)/dt = F - alpha m ((v+ + v-)/2 - u) + R    x' = x + dt_next v+
///   (p+ - p-)/dt   = M - alpha (p+ + p-)/2 + R_m          q' = q exp(dt_next W)
///   J W = exp(-dt_next W/2) R(q)^T p+
///
/// p is the spatial angular momentum of the node: without load and damping it keeps its bits, so
/// the angular momentum of a free body is conserved to rounding whatever its inertia. The implicit
/// relation for the body rate W (inertia taken at the half step) is solved by fixed-point
/// iteration. Source: explicit midpoint Lie-group form of central differences, Krysl & Endres
/// (2005), IJNME 62:2154; translations: Belytschko, Liu & Moran (2000), box 6.1 (both from memory).
/// Same bits for any number of threads: nodes are independent, sums go in chunks of 256.
class NodeMotion {
public:
    /// @param positions reference positions [m]; all nodes start at rest, unrotated
    NodeMotion(std::span<const Vec3> positions, std::vector<NodeInertia> inertia);

    /// Puts nodes under a group; a node may be in several groups if their freedoms differ.
    /// @return number of the group
    Index add_group(MotionGroup group);

    /// Lets the nodes of a group, which must hold all translations, move with box lengths L as
    /// well: x = x_group + share L, with the share x / L of now. What the group supplies is only
    /// its own rate; the share belongs to the box, which feels carried_load and carried_mass.
    /// @param per_length  1 / L along the axes that carry, 0 along the others [1/m]
    void carry_along(Index group, const Vec3& per_length);
    /// Sum of share f over the carried nodes, per axis [N].
    [[nodiscard]] Vec3 carried_load(std::span<const NodeLoad> load) const;
    /// Sum of share^2 m, per axis [kg].
    [[nodiscard]] const Vec3& carried_mass() const { return carried_mass_; }

    /// Sets the velocity of a node at the half step before the first step.
    void set_velocity(Index node, const Vec3& velocity, const Vec3& spin);

    /// One step from t_n to t_n + dt_next under the nodal loads at t_n.
    MotionSums advance(std::span<const NodeLoad> load,
                       const StepTimes& times,
                       const Damping& damping,
                       const BoxRates& box = {});

    [[nodiscard]] std::span<const NodePose> poses() const { return pose_; }
    [[nodiscard]] std::span<const NodeRate> rates() const { return rate_; }
    [[nodiscard]] std::span<const NodeInertia> inertia() const { return inertia_; }
    [[nodiscard]] const GroupReaction& reaction(Index group) const { return reaction_[group]; }

    /// Linear momentum at the last half step [kg m/s].
    [[nodiscard]] Vec3 momentum() const;
    /// Angular momentum about the origin at the last half step [kg m^2/s].
    [[nodiscard]] Vec3 angular_momentum() const;
    /// Kinetic energy at the last half step [J].
    [[nodiscard]] double kinetic_half() const;

    /// State as plain arrays, for snapshots and checkpoints: same bits after restore.
    struct State {
        std::vector<NodePose> pose;
        std::vector<NodeRate> rate;
        std::vector<Vec3> spin;
    };
    [[nodiscard]] State save() const { return {pose_, rate_, spin_}; }
    void restore(const State& state);

private:
    /// A prescribed node of a group and what holding it took.
    struct Hold {
        Index node = no_index;
        Index group = no_index;
        unsigned freedoms = 0;
        Vec3 share = Vec3::Zero(); ///< of the box lengths
        GroupReaction reaction;
        double work_before = 0.0;
        double work = 0.0;
    };
    struct NodeStep; // one node's numbers within a step

    void advance_node(Index i,
                      const NodeLoad& load,
                      const StepTimes& times,
                      const Damping& damping,
                      MotionSums& sums);
    void finish_translation(Index i, const NodeStep& s, double alpha, MotionSums& sums);
    void hold_translations(Index i, const NodeLoad& load, double alpha, NodeStep& s);
    void hold_rotations(Index i, const NodeLoad& load, double alpha, NodeStep& s);
    void sum_reactions(MotionSums& sums);

    std::vector<NodeInertia> inertia_;
    std::vector<NodePose> pose_;
    std::vector<NodeRate> rate_; ///< velocity and spatial angular velocity at the last half step
    std::vector<Vec3> spin_;     ///< spatial angular momentum at the last half step [kg m^2/s]

    std::vector<MotionGroup> groups_;
    Vec3 carried_mass_ = Vec3::Zero();
    BoxRates box_rates_; ///< of this step
    std::vector<GroupRate> group_rate_;
    std::vector<GroupReaction> reaction_;
    std::vector<Hold> holds_;       ///< sorted by node
    std::vector<Index> first_hold_; ///< per node: its first entry in holds_, or no_index
    std::vector<MotionSums> chunk_sums_;
};

} // namespace cellgrade
