// SPDX-License-Identifier: Apache-2.0
// Problem    every cell of the catalogue, strut and level-set, at relative densities of 5 to 40 %,
//            one periodic cell in tetrahedra as the program makes them.
// Exact      wanted density times the box; far sides repeat near ones; a closed surface.
// Source     densities: solid_fraction() and LevelSetMeasure, verified on their own.
// Tolerance  volume 0.5 %, dihedral angles above 5 degrees (least_dihedral), Bezier coefficients
//            of every Jacobian above 0, sides equal to the last bit, shift of the surface below a
//            twentieth of a cube.
// Two cubes across the narrowest wall or strut; one for walls of at most 10 %, to keep it short.
#include "meshes/catalogue/any_cell.hpp"
#include "meshes/catalogue/catalogue.hpp"
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/quality/tet_quality.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/core/error.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

using namespace cellgrade;

namespace {

/// Nothing where the density is out of the reach that the cell states.
std::optional<TiledSolid> periodic_cell(const AnyCell& cell, double density) {
    const SolidPlan plan{.periodic = {true, true, true}, .densities = {density}};
    try {
        return std::visit([&](const auto& c) { return tiled_solid(c, plan); }, cell);
    } catch (const Error& e) {
        REQUIRE(std::string(e.what()).find("cannot be reached") != std::string::npos);
        return std::nullopt;
    }
}

/// Numbers of nodes with copies replaced by their originals.
std::vector<Index> glued_numbers(const TetMesh& mesh) {
    std::vector<Index> glued(mesh.nodes.size());
    for (std::size_t n = 0; n < glued.size(); ++n)
        glued[n] = static_cast<Index>(n);
    for (const NodeCopy& copy : mesh.copies)
        glued[copy.node] = copy.original;
    return glued;
}

/// Edges of the surface, sides glued, with other than two faces.
std::ptrdiff_t n_open(const TetMesh& mesh) {
    const std::vector<Index> glued = glued_numbers(mesh);
    std::vector<std::pair<Index, Index>> edges;
    for (const FaceNodes& face : mesh.surface)
        for (int i = 0; i < 3; ++i)
            edges.push_back(std::minmax({glued[face[i]], glued[face[(i + 1) % 3]]}));
    std::sort(edges.begin(), edges.end());
    std::ptrdiff_t open = 0;
    for (auto at = edges.begin(); at != edges.end();) {
        const auto next = std::upper_bound(at, edges.end(), *at);
        open += next - at != 2 ? 1 : 0;
        at = next;
    }
    return open;
}

/// Copies that are not at their original moved by the box, and far corners that are no copies.
std::ptrdiff_t n_unmatched(const TetMesh& mesh) {
    std::vector<bool> is_copy(mesh.nodes.size(), false);
    std::ptrdiff_t wrong = 0;
    for (const NodeCopy& copy : mesh.copies) {
        is_copy[copy.node] = true;
        const Vec3 &x = mesh.nodes[copy.node], &x0 = mesh.nodes[copy.original];
        for (int axis = 0; axis < 3; ++axis)
            wrong += copy.image[axis] != 0 ? (x[axis] != mesh.box[axis] || x0[axis] != 0.0)
                                           : x[axis] != x0[axis];
    }
    for (Index n = 0; n < mesh.n_corners; ++n)
        wrong += (mesh.nodes[n].array() == mesh.box.array()).any() && !is_copy[n] ? 1 : 0;
    return wrong;
}

void check_mesh(const AnyCell& cell, double density, bool is_wall) {
    const std::optional<TiledSolid> tiled = periodic_cell(cell, density);
    if (!tiled)
        return;
    const double across = is_wall && density < 0.15 ? 1.0 : 2.0;
    const double wanted = density * tiled->solid.box.prod();
    const TetMesh mesh = mesh_solid(tiled->solid, {.across = across, .volume = wanted});
    const TetQuality q = tet_quality(mesh, tiled->solid);
    CHECK(q.smallest_dihedral > least_dihedral);
    CHECK(q.smallest_curved_jacobian > 0.0);
    CHECK(std::abs(q.volume / wanted - 1.0) < 0.005);
    CHECK(std::abs(mesh.surface_shift) < 0.05 * tiled->solid.narrowest / across);
    CHECK(n_open(mesh) == 0);
    CHECK(q.n_open_edges == 0);
    CHECK(n_unmatched(mesh) == 0);
}

void check_all(const std::vector<std::string>& names) {
    for (const std::string& name : names) {
        const AnyCell cell = find_any_cell(name);
        const auto* set = std::get_if<LevelSetCell>(&cell);
        for (const double density : {0.05, 0.1, 0.2, 0.3, 0.4}) {
            CAPTURE(name);
            CAPTURE(density);
            check_mesh(cell, density, set != nullptr && set->side == SolidSide::Wall);
        }
    }
}

} // namespace

TEST_SUITE_BEGIN("verification");

TEST_CASE("meshes: strut solids of 5 to 40 % are sound") {
    check_all(catalogue_names());
}

TEST_CASE("meshes: level-set solids of 5 to 40 % are sound") {
    check_all(solid_catalogue_names());
}

TEST_SUITE_END();
