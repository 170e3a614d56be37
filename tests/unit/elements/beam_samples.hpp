// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/node_arrays.hpp"

#include <Eigen/Geometry>

#include <cmath>
#include <random>
#include <vector>

/// Invented meshes and poses for the element tests; the seeds are fixed.
namespace cellgrade::test {

using Quat = Eigen::Quaterniond;

inline const Vec3 sample_box(0.05, 0.04, 0.03); // [m]
inline constexpr double sample_length = 1.3e-3; // [m]
inline constexpr double sample_radius = 0.4e-3; // [m]

inline SectionModuli sample_moduli() {
    return section_moduli(12e6, 0.45);
}

inline Vec3 random_vector(std::mt19937& random, double size) {
    std::uniform_real_distribution<double> uniform(-size, size);
    const double x = uniform(random), y = uniform(random), z = uniform(random);
    return {x, y, z};
}

inline Quat turn_by(const Vec3& rotation) {
    const double angle = rotation.norm();
    return angle > 0.0 ? Quat(Eigen::AngleAxisd(angle, rotation / angle)) : Quat::Identity();
}

inline Vec3 position(const NodePose& pose) {
    return {pose.x, pose.y, pose.z};
}

inline Quat orientation(const NodePose& pose) {
    return {pose.qw, pose.qx, pose.qy, pose.qz};
}

inline NodePose pose_of(const Vec3& x, const Quat& q) {
    return {x.x(), x.y(), x.z(), q.w(), q.x(), q.y(), q.z(), 0.0};
}

inline NodePose spun(const NodePose& pose, const Vec3& rotation) {
    return pose_of(position(pose), (turn_by(rotation) * orientation(pose)).normalized());
}

/// n elements, each with two nodes of its own, in random directions and sizes within 2; every third
/// one reaches across the box.
inline BeamMesh loose_elements(Index n, unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> factor(0.5, 2.0);
    BeamMesh mesh;
    mesh.box = sample_box;
    mesh.periodic = {true, true, false};
    for (Index e = 0; e < n; ++e) {
        const Vec3 a = random_vector(random, 0.01);
        const Vec3 along = random_vector(random, 1.0).normalized() * sample_length * factor(random);
        const Vec3i image = e % 3 == 2 ? Vec3i(1, -1, 0) : Vec3i::Zero();
        mesh.nodes.push_back(a);
        mesh.nodes.push_back(a + along - image.cast<double>().cwiseProduct(mesh.box));
        mesh.elements.push_back({.a = 2 * e,
                                 .b = 2 * e + 1,
                                 .image_b = image,
                                 .radius = sample_radius * factor(random),
                                 .stiffness_factor = factor(random)});
    }
    return mesh;
}

/// A straight row of n equal elements from the origin.
inline BeamMesh straight_row(Index n, const Vec3& end, double radius) {
    BeamMesh mesh;
    mesh.box = sample_box;
    for (Index i = 0; i <= n; ++i)
        mesh.nodes.push_back(end * i / n);
    for (Index e = 0; e < n; ++e)
        mesh.elements.push_back({.a = e, .b = e + 1, .radius = radius});
    return mesh;
}

inline std::vector<NodePose> rest_poses(const BeamMesh& mesh) {
    std::vector<NodePose> poses;
    for (const Vec3& x : mesh.nodes)
        poses.push_back(pose_of(x, Quat::Identity()));
    return poses;
}

/// Every node moved by up to `shift` and turned by up to `turn` on each axis, after a common turn.
inline std::vector<NodePose>
random_poses(const BeamMesh& mesh, double shift, double turn, unsigned seed) {
    std::mt19937 random(seed);
    std::vector<NodePose> poses = rest_poses(mesh);
    for (NodePose& pose : poses)
        pose = pose_of(position(pose) + random_vector(random, shift),
                       turn_by(random_vector(random, turn)));
    return poses;
}

/// Ends of loose elements turned against each other by up to 0.75 of the limit: central
/// differences
/// need room.
inline std::vector<NodePose> strongly_bent(const BeamMesh& mesh, unsigned seed) {
    std::mt19937 random(seed);
    std::vector<NodePose> poses = rest_poses(mesh);
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        const Quat common = turn_by(random_vector(random, 3.0));
        const Vec3 relative = random_vector(random, 1.2);
        for (const std::size_t n : {2 * e, 2 * e + 1}) {
            const Vec3 shift = random_vector(random, 0.2 * sample_length);
            poses[n] = pose_of(position(poses[n]) + shift,
                               n % 2 == 0 ? common : common * turn_by(relative));
        }
    }
    return poses;
}

/// Loads of all slots with no viscosity and no time step.
template <class Block>
std::vector<NodeLoad>
slot_loads(Block& block, const std::vector<NodePose>& poses, const Vec3& box) {
    std::vector<NodeLoad> slots(block.n_slots());
    const Index failed = beam_forces(block, poses, box, 0.0, slots, WithEnergy::Yes);
    return failed == no_index ? slots : std::vector<NodeLoad>{};
}

template <class Block>
double stored_energy(Block& block, const std::vector<NodePose>& poses, const Vec3& box) {
    std::vector<NodeLoad> slots(block.n_slots());
    if (beam_forces(block, poses, box, 0.0, slots, WithEnergy::Yes) != no_index)
        return std::nan("");
    return beam_energies(block).stored;
}

/// Largest difference of two sets of loads, forces in parts of the largest force, moments of the
/// largest moment.
inline double load_difference(const std::vector<NodeLoad>& got, const std::vector<NodeLoad>& want) {
    double f = 0.0, m = 0.0, df = 0.0, dm = 0.0;
    for (std::size_t i = 0; i < want.size(); ++i) {
        const NodeLoad &g = got[i], &w = want[i];
        f = std::max({f, std::abs(w.fx), std::abs(w.fy), std::abs(w.fz)});
        m = std::max({m, std::abs(w.mx), std::abs(w.my), std::abs(w.mz)});
        df = std::max({df, std::abs(g.fx - w.fx), std::abs(g.fy - w.fy), std::abs(g.fz - w.fz)});
        dm = std::max({dm, std::abs(g.mx - w.mx), std::abs(g.my - w.my), std::abs(g.mz - w.mz)});
    }
    return got.size() == want.size() ? std::max(df / f, dm / m) : HUGE_VAL;
}

inline Vec3 force(const NodeLoad& load) {
    return {load.fx, load.fy, load.fz};
}

inline Vec3 moment(const NodeLoad& load) {
    return {load.mx, load.my, load.mz};
}

} // namespace cellgrade::test
