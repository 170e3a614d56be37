// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "tests/support/sheet_mesh.hpp"
#include "tests/unit/contact/contact_nets.hpp"

#include <vector>

namespace cellgrade::test {

// An invented soft polymer, walls 0.2 mm thick, elements of 0.1 mm.
inline constexpr double wall = 0.2e-3, element = 0.1e-3, wall_density = 1100.0;

inline ContactSettings wall_settings(double friction) {
    return {.modulus = 20e6, .poisson = 0.48, .friction = friction, .reference_step = 5e-8};
}

/// A flat square sheet of n x n elements of the given size, turned by `angle` about z.
inline Index add_flat(TetMesh& mesh, int n, double size, const Vec3& middle, double angle) {
    return add_sheet(mesh, n, n, [&](double u, double v) {
        const double x = (u - 0.5) * n * size, y = (v - 0.5) * n * size;
        return Vec3(middle.x() + std::cos(angle) * x - std::sin(angle) * y,
                    middle.y() + std::sin(angle) * x + std::cos(angle) * y, middle.z());
    });
}

/// Moves every node at random within a cube.
inline void shake(std::vector<Vec3>& x, double half, unsigned seed) {
    Random random(seed);
    for (Vec3& at : x)
        at += random.cube(half);
}

inline std::vector<double> sheet_masses(const TetMesh& mesh) { // half a wall behind each node
    const double area = 0.25 * element * element;
    return std::vector<double>(mesh.nodes.size(), wall_density * area * 0.5 * wall);
}

} // namespace cellgrade::test
