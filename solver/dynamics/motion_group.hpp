// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <functional>
#include <vector>

namespace cellgrade {

/// Which of a node's six freedoms a group prescribes: bits 0-2 translations, 3-5 rotations.
enum FreedomBits : unsigned {
    fix_x = 1U,
    fix_y = 2U,
    fix_z = 4U,
    fix_rx = 8U,
    fix_ry = 16U,
    fix_rz = 32U,
    fix_translations = 7U,
    fix_rotations = 56U,
    fix_all = 63U,
};

/// Velocities of a group at one time.
struct GroupRate {
    Vec3 velocity = Vec3::Zero(); ///< [m/s]
    Vec3 spin = Vec3::Zero();     ///< [rad/s], spatial axes
};

/// Nodes that move together on the prescribed freedoms; a fixed support has no `rate`.
struct MotionGroup {
    std::vector<Index> nodes;
    unsigned freedoms = fix_all;
    std::function<GroupRate(double time)>
        rate; ///< called once a step, at the half step; empty: rest
};

/// What holding a group took in the last step.
struct GroupReaction {
    Vec3 force = Vec3::Zero();  ///< of the support on the nodes [N]
    Vec3 moment = Vec3::Zero(); ///< sum of the nodal reaction moments [N m]
};

/// A load on one node, dead in direction: factor(t) times force and moment (spatial axes).
struct PointLoad {
    Index node = no_index;
    Vec3 force = Vec3::Zero();                 ///< [N]
    Vec3 moment = Vec3::Zero();                ///< [N m]
    std::function<double(double time)> factor; ///< called once a step; empty: 1
};

} // namespace cellgrade
