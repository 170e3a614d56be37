// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

namespace cellgrade {

/// Position and orientation of a node, one cache line, so that a gather is one aligned load a node.
/// The quaternion turns the reference axes into the current ones: identity at the start, unit norm.
struct alignas(64) NodePose {
    double x = 0.0, y = 0.0, z = 0.0;              ///< [m], not wrapped into the box
    double qw = 1.0, qx = 0.0, qy = 0.0, qz = 0.0; ///< scalar part first
    double pad = 0.0;
};
static_assert(sizeof(NodePose) == 64);

/// Velocity at the half step and spatial angular velocity.
struct alignas(64) NodeRate {
    double vx = 0.0, vy = 0.0, vz = 0.0; ///< [m/s]
    double wx = 0.0, wy = 0.0, wz = 0.0; ///< [rad/s], spatial axes
    double pad0 = 0.0, pad1 = 0.0;
};
static_assert(sizeof(NodeRate) == 64);

/// Force and moment on a node (or on one end of an element), spatial axes.
struct alignas(64) NodeLoad {
    double fx = 0.0, fy = 0.0, fz = 0.0; ///< [N]
    double mx = 0.0, my = 0.0, mz = 0.0; ///< [N m]
    double pad0 = 0.0, pad1 = 0.0;
};
static_assert(sizeof(NodeLoad) == 64);

/// Position of a node of a solid, one aligned load a node.
struct alignas(32) NodePoint {
    double x = 0.0, y = 0.0, z = 0.0; ///< [m], not wrapped into the box
    double pad = 0.0;
};
static_assert(sizeof(NodePoint) == 32);

/// Force on a node of a solid, or of one element on one of its nodes: nothing but the force,
/// because ten of them an element are most of what a step of tetrahedra writes.
struct NodeForce {
    double x = 0.0, y = 0.0, z = 0.0; ///< [N]
};
static_assert(sizeof(NodeForce) == 24);

/// A force that is being summed, one aligned load and store.
struct alignas(32) NodeSum {
    double x, y, z; ///< [N]
    double pad;
};
static_assert(sizeof(NodeSum) == 32);

} // namespace cellgrade
