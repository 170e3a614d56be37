// SPDX-License-Identifier: Apache-2.0
// Every cell of the catalogue as a solid at 5 to 40 % density.
#include "meshes/catalogue/any_cell.hpp"
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/quality/tet_quality.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <string>
#include <variant>
#include <vector>

using namespace cellgrade;

namespace {

/// Below the fraction at which a skeletal solid of the file parts into pieces there is no cell.
bool exists(const std::string& name, double density) {
    try {
        const SolidPlan plan{.periodic = {true, true, true}, .densities = {density}};
        (void)std::visit([&](const auto& c) { return tiled_solid(c, plan); }, find_any_cell(name));
        return true;
    } catch (const Error& e) {
        CHECK_MESSAGE(std::string(e.what()).find("reach") != std::string::npos, e.what());
        return false;
    }
}

} // namespace

// Problem    one endless cell, two grid cubes across its narrowest wall or strut
// Bound      what the mesher promises: dihedral angles (mesh_solid.hpp), no inverted element,
//            volume within 0.5 % of the density asked for (itself within 0.1 %), a closed surface,
//            copies at their originals to the last bit
// Source     densities: quadrature of this project against the published fractions of
//            tests/unit/meshes/level_set_density_test.cpp
TEST_CASE("catalogue: every cell meshes at 5 to 40 % density") {
    std::vector<std::string> names = catalogue_names();
    for (const std::string& name : solid_catalogue_names())
        names.push_back(name);
    Index n_meshed = 0;
    for (const std::string& name : names)
        for (const double density : {0.05, 0.1, 0.2, 0.3, 0.4}) {
            CAPTURE(name);
            CAPTURE(density);
            if (!exists(name, density))
                continue;
            const SolidPlan plan{.periodic = {true, true, true}, .densities = {density}};
            const TiledSolid made = std::visit([&](const auto& c) { return tiled_solid(c, plan); },
                                               find_any_cell(name));
            const double volume = density * made.solid.box.prod();
            const TetMesh mesh = mesh_solid(made.solid, {.across = 2.0, .volume = volume});
            const TetQuality q = tet_quality(mesh, made.solid);
            CHECK(test::rel_err(q.volume, volume) < 0.005);
            CHECK(q.smallest_dihedral > least_dihedral);
            CHECK(q.smallest_curved_jacobian > 0.0);
            CHECK(std::abs(mesh.surface_shift) < 0.05 * made.solid.narrowest);
            Index apart = 0;
            for (const NodeCopy& copy : mesh.copies)
                apart +=
                    mesh.nodes[copy.node] == mesh.nodes[copy.original] +
                                                 copy.image.cast<double>().cwiseProduct(mesh.box)
                        ? 0
                        : 1;
            CHECK(apart == 0);
            ++n_meshed;
        }
    CHECK(n_meshed >= 140);
}
