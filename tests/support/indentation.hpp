// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/surface_contact.hpp"
#include "solver/elements/tet_forces.hpp"
#include "solver/elements/tet_mass.hpp"
#include "solver/elements/tet_stable_step.hpp"
#include "solver/elements/tet_tiles.hpp"
#include "tests/support/sheet_mesh.hpp"
#include "tests/support/tet_meshes.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

/// A rigid surface pressed into an elastic block through SurfaceContact, by damped explicit steps.
namespace cellgrade::test {

/// 0, then steps that grow by `ratio` from `fine`, which is kept up to `even`, until `end`.
inline std::vector<double> graded(double fine, double even, double ratio, double end) {
    std::vector<double> at{0.0};
    for (double step = fine; at.back() < end; step *= at.back() < even - 1e-9 ? 1.0 : ratio)
        at.push_back(at.back() + step);
    return at;
}

/// A block between grid planes x, y, z (depth below the surface z = 0); the contact surface is its
/// upper face out to `reach`. Planes of symmetry at x = 0 and y = 0.
inline TetMesh graded_block(const std::vector<double>& x,
                            const std::vector<double>& y,
                            const std::vector<double>& depth,
                            double reach) {
    const auto n = [](const std::vector<double>& v) { return static_cast<int>(v.size()) - 1; };
    TetMesh mesh = box_mesh(n(x), n(y), n(depth), Vec3(n(x), n(y), n(depth)));
    move_corners(mesh, [&](const Vec3& X) {
        return Vec3(x[std::lround(X.x())], y[std::lround(X.y())],
                    -depth[depth.size() - 1 - std::lround(X.z())]);
    });
    constexpr int faces[4][6] = {
        {0, 2, 1, 6, 5, 4}, {0, 1, 3, 4, 8, 7}, {1, 2, 3, 5, 9, 8}, {0, 3, 2, 7, 9, 6}};
    for (const TetNodes& tet : mesh.tets)
        for (const auto& face : faces) {
            FaceNodes nodes{};
            bool on = true;
            for (int a = 0; a < 6; ++a) {
                nodes[a] = tet[face[a]];
                const Vec3& X = mesh.nodes[nodes[a]];
                on = on && std::abs(X.z()) < 1e-9 && X.head<2>().norm() < reach;
            }
            if (on)
                mesh.surface.push_back(nodes);
        }
    mesh.box = Vec3(x.back(), y.back(), depth.back());
    return mesh;
}

struct Pressing {
    LinearElastic polymer;
    double density = 1000.0;
    double travel = 0.0;     ///< of the rigid surface, from its place in the mesh [m]
    double ramp_share = 0.5; ///< of the run, smooth; then it rests
    double crossings = 1.0;  ///< duration: shear waves over the depth of the block
    double damping = 1.0;    ///< mass-proportional, times shear speed / depth
};

struct Pressed {
    double force = 0.0;  ///< of the rigid surface on the modelled part [N]
    double depth = 0.0;  ///< sunk by the block's surface, mean weighted with the contact force [m]
    double centre = 0.0; ///< sunk by the surface at x = y = 0 [m]
    double mean_square_x = 0.0; ///< of x, weighted with the contact force [m^2]
    double mean_square_y = 0.0; ///< of y [m^2]
    double kinetic_share = 0.0; ///< kinetic energy / work scale force x depth
    double pair_balance = 0.0;  ///< |sum of contact forces| / force: Newton's third law
};

/// @param rigid  first node of the rigid surface; those before are the block's
inline Pressed press(const TetMesh& mesh, Index rigid, const Pressing& how) {
    TetBlock block = make_tet_block(mesh, how.polymer, {});
    TetMass mass = tet_lumped_mass(mesh, block, how.density);
    const auto n = static_cast<Index>(mesh.nodes.size());
    for (Index i = rigid; i < n; ++i)
        mass.node[i] = *std::max_element(mass.node.begin(), mass.node.begin() + rigid);
    TetTiles tiles = make_tet_tiles(mesh);
    std::vector<NodePoint> x = rest_positions(mesh);
    std::vector<NodeForce> f(x.size());
    std::vector<NodePose> pose(x.size());
    std::vector<NodeRate> rate(x.size());
    std::vector<NodeLoad> load(x.size());
    const double omega = tet_stable_omega(block, mass, x);
    SurfaceContact contact(mesh, mass.node,
                           {.modulus = how.polymer.E,
                            .poisson = how.polymer.nu,
                            .friction = 0.0,
                            .reference_step = 2.0 / omega,
                            .step_share = 0.4});
    const double shear = how.polymer.E / (2.0 * (1.0 + how.polymer.nu));
    const double crossing = mesh.box.z() / std::sqrt(shear / how.density);
    const double end = how.crossings * crossing, ramp = how.ramp_share * end;
    const double damping = how.damping / crossing, dt = 0.5 * 2.0 / omega;
    std::vector<std::array<bool, 3>> held(x.size());
    for (Index i = 0; i < rigid; ++i) {
        const Vec3& X = mesh.nodes[i];
        const bool base = X.z() < -mesh.box.z() * (1.0 - 1e-9);
        held[i] = {base || X.x() < 1e-9 || X.x() > mesh.box.x() * (1.0 - 1e-9),
                   base || X.y() < 1e-9 || X.y() > mesh.box.y() * (1.0 - 1e-9), base};
    }
    Pressed now;
    for (double time = 0.0; time < end; time += dt) {
        if (tet_node_forces(block, tiles, x, dt, f, WithEnergy::No) != no_index)
            throw std::runtime_error("an element of the block turned inside out");
        for (Index i = 0; i < n; ++i) {
            pose[i].x = x[i].x, pose[i].y = x[i].y, pose[i].z = x[i].z;
            load[i] = {};
        }
        contact.add_loads(pose, rate, mesh.box, dt, load);
        const double s = std::min(time / ramp, 1.0);
        const double down = how.travel / ramp * 30.0 * s * s * (1.0 - s) * (1.0 - s);
        double kinetic = 0.0;
        Vec3 sum = Vec3::Zero();
        now = {};
        for (Index i = 0; i < n; ++i) {
            sum += Vec3(load[i].fx, load[i].fy, load[i].fz);
            if (i >= rigid) {
                now.force += load[i].fz;
                rate[i].vz = -down;
                x[i].z -= dt * down;
                continue;
            }
            now.depth += load[i].fz * x[i].z;
            now.mean_square_x -= load[i].fz * mesh.nodes[i].x() * mesh.nodes[i].x();
            now.mean_square_y -= load[i].fz * mesh.nodes[i].y() * mesh.nodes[i].y();
            const double keep = (1.0 - 0.5 * damping * dt) / (1.0 + 0.5 * damping * dt);
            const double push = dt / (mass.node[i] * (1.0 + 0.5 * damping * dt));
            rate[i].vx = held[i][0] ? 0.0 : keep * rate[i].vx + push * (f[i].x + load[i].fx);
            rate[i].vy = held[i][1] ? 0.0 : keep * rate[i].vy + push * (f[i].y + load[i].fy);
            rate[i].vz = held[i][2] ? 0.0 : keep * rate[i].vz + push * (f[i].z + load[i].fz);
            x[i].x += dt * rate[i].vx;
            x[i].y += dt * rate[i].vy;
            x[i].z += dt * rate[i].vz;
            kinetic +=
                0.5 * mass.node[i] *
                (rate[i].vx * rate[i].vx + rate[i].vy * rate[i].vy + rate[i].vz * rate[i].vz);
        }
        now.pair_balance = sum.norm() / std::max(now.force, 1e-300);
        now.mean_square_x /= now.force;
        now.mean_square_y /= now.force;
        now.depth /= now.force;
        for (Index i = 0; i < rigid; ++i)
            if (mesh.nodes[i].norm() < 1e-9)
                now.centre = -x[i].z;
        now.kinetic_share = kinetic / (now.force * now.depth);
    }
    return now;
}

} // namespace cellgrade::test
