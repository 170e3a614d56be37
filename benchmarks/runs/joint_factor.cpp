// SPDX-License-Identifier: Apache-2.0
// How stiff are joints: four moduli of strut cells as beams against the same cells as solids, for
// several joint factors. Run: joint_factor   (about a minute)
//
// Moduli: E along 100 and 111, bulk, C44; solids two grid cubes across a strut, nu 0.45.
// Difference: |log(beams / solid)|.
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/density/solid_fraction.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/homogenize/elastic_constants.hpp"
#include "solver/homogenize/solid_stiffness.hpp"
#include "solver/homogenize/stiffness.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <vector>

namespace {

using namespace cellgrade;

constexpr double youngs = 1.0, poisson = 0.45;
constexpr std::array factors{1.0, 2.0, 2.5, 3.0, 3.5, 4.0, 8.0};

std::array<double, 4> moduli(const Mat6& C) {
    const Mat6 S = compliance(C);
    return {youngs_modulus_along(S, Vec3::UnitX()), youngs_modulus_along(S, Vec3::Ones()),
            bulk_modulus(S), C(3, 3)};
}

std::array<double, 4> of_solid(const StrutCell& cell, double density) {
    const TiledSolid made =
        tiled_solid(cell, {.periodic = {true, true, true}, .densities = {density}});
    const TetMesh mesh =
        mesh_solid(made.solid, {.across = 2.0, .volume = density * made.solid.box.prod()});
    return moduli(solid_stiffness(mesh, youngs, poisson).C);
}

std::array<double, 4> of_beams(const StrutCell& cell, double density, double factor) {
    const JointModel joints{.joints = factor > 1.0 ? Joints::Stiffened : Joints::None,
                            .stiffness = factor};
    return moduli(elastic_stiffness(cell, diameters_for_density(cell, density),
                                    section_moduli(youngs, poisson), joints)
                      .C);
}

} // namespace

int main() {
    std::array<double, factors.size()> sum{}, largest{};
    int n = 0;
    std::printf("beams over solid, factor 1 (no zones), 2 and 3\n%-14s %8s", "cell", "density");
    for (const char* name : {"E100", "E111", "bulk", "C44"})
        std::printf("  %-20s", name);
    std::printf("\n");
    for (const char* name : {"body_centred", "kelvin", "octet", "diamond"})
        for (const double density : {0.03, 0.1, 0.2}) {
            const StrutCell cell = find_cell(name);
            const std::array<double, 4> solid = of_solid(cell, density);
            std::array<std::array<double, 4>, factors.size()> beams;
            for (std::size_t k = 0; k < factors.size(); ++k)
                beams[k] = of_beams(cell, density, factors[k]);
            std::printf("%-14s %8.2f", name, density);
            for (std::size_t m = 0; m < 4; ++m) {
                std::printf("  %5.3f %5.3f %5.3f   ", beams[0][m] / solid[m],
                            beams[1][m] / solid[m], beams[3][m] / solid[m]);
                for (std::size_t k = 0; k < factors.size(); ++k) {
                    const double difference = std::abs(std::log(beams[k][m] / solid[m]));
                    sum[k] += difference;
                    largest[k] = std::max(largest[k], difference);
                }
                ++n;
            }
            std::printf("\n");
            std::fflush(stdout);
        }
    std::printf("\nfactor   mean   largest difference\n");
    for (std::size_t k = 0; k < factors.size(); ++k)
        std::printf("%6.1f  %5.3f  %5.3f\n", factors[k], sum[k] / n, largest[k]);
}
