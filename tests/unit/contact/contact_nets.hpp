// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/contact/contact_settings.hpp"
#include "solver/elements/node_arrays.hpp"

#include <random>
#include <vector>

namespace cellgrade::test {

// An invented soft polymer, struts of 1 mm diameter.
inline constexpr double rod_radius = 0.5e-3, rod_modulus = 20e6, rod_density = 1100.0;

inline ContactSettings rod_settings(double friction) {
    return {.modulus = rod_modulus, .poisson = 0.48, .friction = friction, .reference_step = 4e-6};
}

class Random {
public:
    explicit Random(unsigned seed) : engine_(seed) {}
    double in(double low, double high) {
        return low + (high - low) * std::uniform_real_distribution<double>()(engine_);
    }
    Vec3 cube(double half) { return {in(-half, half), in(-half, half), in(-half, half)}; }
    Vec3 direction() {
        for (;;) {
            const Vec3 x = cube(1.0);
            if (x.norm() > 0.1 && x.norm() < 1.0)
                return x.normalized();
        }
    }

private:
    std::mt19937 engine_;
};

/// Adds a loose rod of one element.
inline void add_rod(BeamMesh& mesh, const Vec3& a, const Vec3& b, double radius = rod_radius) {
    const auto n = static_cast<Index>(mesh.nodes.size());
    mesh.nodes.insert(mesh.nodes.end(), {a, b});
    mesh.is_joint.insert(mesh.is_joint.end(), {true, true});
    mesh.elements.push_back(
        {.a = n, .b = n + 1, .radius = radius, .strut = static_cast<Index>(mesh.elements.size())});
}

/// Adds a straight strut of `n` elements between two new nodes; returns its first node.
inline Index add_strut(BeamMesh& mesh, const Vec3& a, const Vec3& b, int n) {
    const auto first = static_cast<Index>(mesh.nodes.size());
    const Index strut = mesh.elements.empty() ? 0 : mesh.elements.back().strut + 1;
    for (int i = 0; i <= n; ++i) {
        mesh.nodes.push_back(a + (b - a) * i / n);
        mesh.is_joint.push_back(i == 0 || i == n);
        if (i > 0)
            mesh.elements.push_back(
                {.a = first + i - 1, .b = first + i, .radius = rod_radius, .strut = strut});
    }
    return first;
}

/// Loose rods of one element each at random in a cube box of the given density [rods/m^3].
inline BeamMesh random_rods(int n, double per_volume, std::array<bool, 3> periodic, unsigned seed) {
    Random random(seed);
    BeamMesh mesh;
    mesh.box = Vec3::Constant(std::cbrt(n / per_volume));
    mesh.periodic = periodic;
    for (int k = 0; k < n; ++k) {
        Vec3 a = 0.5 * mesh.box + random.cube(0.5 * mesh.box.x());
        add_rod(mesh, a, a + random.in(0.8e-3, 1.2e-3) * random.direction(),
                rod_radius * random.in(0.3, 0.6));
    }
    return mesh;
}

inline std::vector<NodePose> pose_of(const std::vector<Vec3>& x) {
    std::vector<NodePose> pose(x.size());
    for (std::size_t i = 0; i < x.size(); ++i)
        pose[i] = {.x = x[i].x(), .y = x[i].y(), .z = x[i].z()};
    return pose;
}

inline std::vector<double> node_masses(const BeamMesh& mesh) {
    return std::vector<double>(mesh.nodes.size(),
                               rod_density * 3.14159 * rod_radius * rod_radius * 1e-3);
}

inline Vec3 force(const NodeLoad& load) {
    return {load.fx, load.fy, load.fz};
}
inline Vec3 moment(const NodeLoad& load) {
    return {load.mx, load.my, load.mz};
}

} // namespace cellgrade::test
