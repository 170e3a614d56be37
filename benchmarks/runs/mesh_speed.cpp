// SPDX-License-Identifier: Apache-2.0
// The mesher at three sizes: tetrahedra a second and bytes a tetrahedron. Run: mesh_speed
//
// Solid: 1, 2^3 and 3^3 cells of a gyroid wall of relative density 0.2, periodic, 1.5 cubes
// across. Seconds: processor time of mesh_solid() on one thread, the volume fitted as in the
// program, least and median of three runs. Memory: peak of the process less what is resident
// before the first run. Every mesh is measured before its row is printed.
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/quality/tet_quality.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "meshes/tets/mesh_solid.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <sys/resource.h>
#include <unistd.h>

namespace {

using namespace cellgrade;

double processor_seconds() {
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

double peak_bytes() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return 1024.0 * static_cast<double>(usage.ru_maxrss);
}

/// Linux only: second number of /proc/self/statm, in pages.
double resident_bytes() {
    long all = 0, resident = 0;
    std::ifstream("/proc/self/statm") >> all >> resident;
    return static_cast<double>(resident) * static_cast<double>(sysconf(_SC_PAGESIZE));
}

bool is_sound(const TetQuality& q, double wanted) {
    return q.smallest_dihedral > least_dihedral && q.smallest_curved_jacobian > 0.0 &&
           q.n_open_edges == 0 && std::abs(q.volume / wanted - 1.0) < 0.005;
}

} // namespace

int main() {
    std::printf("%6s %12s %12s %12s %12s %14s\n", "cells", "tetrahedra", "least s", "median s",
                "tets/s", "bytes/tet");
    const LevelSetCell cell = find_level_set_cell("gyroid_wall");
    for (const Index n : {1, 2, 3}) {
        const TiledSolid tiled = tiled_solid(
            cell, {.tiles = {n, n, n}, .periodic = {true, true, true}, .densities = {0.2}});
        const double wanted = tiled.densities[0] * tiled.solid.box.prod();
        const double before = resident_bytes();
        std::array<double, 3> seconds{};
        TetMesh mesh;
        for (double& each : seconds) {
            mesh = {};
            const double start = processor_seconds();
            mesh = mesh_solid(tiled.solid, {.across = 1.5, .volume = wanted});
            each = processor_seconds() - start;
        }
        const double peak = peak_bytes();
        std::sort(seconds.begin(), seconds.end());
        const auto n_tets = static_cast<double>(mesh.tets.size());
        if (!is_sound(tet_quality(mesh, tiled.solid), wanted)) {
            std::printf("the mesh of %d^3 cells is not sound\n", n);
            return EXIT_FAILURE;
        }
        std::printf("%6d %12zu %12.2f %12.2f %12.0f %14.0f\n", n * n * n, mesh.tets.size(),
                    seconds[0], seconds[1], n_tets / seconds[1], (peak - before) / n_tets);
        std::fflush(stdout);
    }
    return EXIT_SUCCESS;
}
