// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/solid_catalogue.hpp"
#include "meshes/solids/tiled_solid.hpp"
#include "meshes/tets/mesh_solid.hpp"
#include "solver/cli/verify/verification_row.hpp"
#include "solver/homogenize/elastic_constants.hpp"
#include "solver/homogenize/solid_stiffness.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

using namespace cellgrade;
using test::rel_err;

namespace {

template <class Cell>
TetMesh endless(const Cell& cell, double density, double cubes_a_cell) {
    const TiledSolid tiled =
        tiled_solid(cell, {.periodic = {true, true, true}, .densities = {density}});
    return mesh_solid(tiled.solid, {.element_size = tiled.solid.box.x() / cubes_a_cell});
}

/// C12 and C44 at given C11 of a family of the data, by linear interpolation over its samples.
struct Pair {
    double C12 = 0.0, C44 = 0.0;
};

Pair published(const std::string& family, double C11) {
    const char* folder = std::getenv("CELLGRADE_DATA");
    std::ifstream file(std::string(folder) + "/tpms-levelset-stiffness/stiffness.csv");
    REQUIRE(file.good());
    std::string line;
    std::getline(file, line);
    double last = 0.0;
    Pair before;
    while (std::getline(file, line)) {
        std::vector<std::string> words;
        std::stringstream row(line);
        for (std::string word; std::getline(row, word, ',');)
            words.push_back(word);
        if (words[0] != family)
            continue;
        const double now = std::stod(words[2]);
        const Pair here{std::stod(words[3]), std::stod(words[17])};
        if (now >= C11 && last > 0.0) {
            const double t = (C11 - last) / (now - last);
            return {before.C12 + t * (here.C12 - before.C12),
                    before.C44 + t * (here.C44 - before.C44)};
        }
        last = now;
        before = here;
    }
    return before;
}

} // namespace

namespace {

struct Family {
    const char *cell, *name;
    std::vector<double> densities;
};

/// C12 and C44 within `tolerance` of the published ones at the same C11.
void follow(const Family& family, double cubes_a_cell, double tolerance) {
    if (std::getenv("CELLGRADE_DATA") == nullptr) {
        MESSAGE("skipped: no data folder");
        return;
    }
    for (const double density : family.densities) {
        const SolidStiffness s = solid_stiffness(
            endless(find_level_set_cell(family.cell), density, cubes_a_cell), 1.0, 0.3);
        const Pair want = published(family.name, s.C(0, 0));
        INFO(family.cell, " at ", density, ": C12 ", s.C(0, 1) / want.C12 - 1.0, " C44 ",
             s.C(3, 3) / want.C44 - 1.0);
        CHECK(rel_err(s.relative_density, density) < 0.01);
        CHECK(rel_err(s.C(0, 1), want.C12) < tolerance);
        CHECK(rel_err(s.C(3, 3), want.C44) < tolerance);
        CHECK(cubic_misfit(s.C) < 0.01);
    }
}

} // namespace

// Problem    stiffness of endless gyroid and primitive networks, E = 1, nu = 0.3
// Exact      C12 and C44 against C11 of two published families; their densities are not given
// Source     Chan, Ahmed, Wang and Chen (2021), J. Mech. Des. 143:031707, data set METASET (MIT)
// Tolerance  5 %: the data are voxels, and an independent voxel homogeniser follows them with a
//            median of 1 and 2 % (note of the data set). Eight cubes a cell are within 0.5 % of
//            twenty-six.
TEST_CASE("solid stiffness: gyroid and primitive networks follow published pairs") {
    follow({"gyroid_skeletal", "172", {0.28, 0.5, 0.8}}, 8.0, 0.05);
    follow({"schwarz_primitive_skeletal", "001", {0.45, 0.75}}, 8.0, 0.05);
}

// The gyroid over the whole published range that is one network with open pores, and the primitive
// from 0.42 up.
TEST_CASE("solid stiffness: the published pairs over their range" * doctest::skip()) {
    follow({"gyroid_skeletal", "172", {0.26, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.9}}, 12.0, 0.05);
    follow({"schwarz_primitive_skeletal", "001", {0.42, 0.5, 0.55, 0.65, 0.7, 0.78}}, 12.0, 0.05);
}

// Problem    the thin end of the primitive network, density below 0.42
// Exact      as above; but there the published C44 lies 5 to 9 % above what two independent ways
//            agree on: this mesh at 8, 16 and 26 cubes (0.3 % apart) and trilinear voxels at 24 to
//            48 an edge (tests/programs/voxel_stiffness_test.py). C12 is met.
// Tolerance  10 % for what the source scatters; the voxels hold the answer itself to 2 %
TEST_CASE("solid stiffness: the thin end of the primitive network" * doctest::skip()) {
    follow({"schwarz_primitive_skeletal", "001", {0.27, 0.3, 0.35}}, 12.0, 0.1);
}

// Problem    a full cube and a plate in it
// Exact      the solid's own moduli; for the plate (Voigt in its plane) E of the solid times its
//            share, 0 across
TEST_CASE("solid stiffness: a full cell is the polymer itself, a plate is a plate") {
    ImplicitSolid full;
    full.box = Vec3::Constant(1.0);
    full.periodic = {true, true, true};
    full.field = [](std::span<const Vec3>, std::span<double> v) {
        std::fill(v.begin(), v.end(), -1.0);
    };
    const double nu = 0.45, lame = nu / ((1.0 + nu) * (1.0 - 2.0 * nu)), mu = 0.5 / (1.0 + nu);
    const SolidStiffness s =
        solid_stiffness(mesh_solid(full, {.element_size = 0.5, .low_share = 0.0}), 1.0, nu);
    CHECK(rel_err(s.C(0, 0), lame + 2.0 * mu) < 1e-9);
    CHECK(rel_err(s.C(0, 1), lame) < 1e-9);
    CHECK(rel_err(s.C(5, 5), mu) < 1e-9);

    ImplicitSolid plate = full;
    plate.field = [](std::span<const Vec3> x, std::span<double> v) {
        for (std::size_t i = 0; i < x.size(); ++i)
            v[i] = std::abs(x[i].z() - 0.5) - 0.2;
    };
    const SolidStiffness p = solid_stiffness(mesh_solid(plate, {.element_size = 0.125}), 1.0, nu);
    CHECK(rel_err(p.relative_density, 0.4) < 1e-9);
    CHECK(rel_err(p.C(0, 0), 0.4 / (1.0 - nu * nu)) < 1e-6); // plane stress
    CHECK(rel_err(p.C(5, 5), 0.4 * mu) < 1e-6);
    CHECK(std::abs(p.C(2, 2)) < 1e-6);
}

// Exact      named in each row: blocks, bonded cylinders of references E9, a clamped round strut
TEST_CASE("solid stiffness: every row of the program's own table is met") {
    const std::vector<VerificationRow> rows = verify_solids();
    CHECK(rows.size() >= 5);
    for (const VerificationRow& row : rows) {
        INFO(row.id, ": ", row.computed, " for ", row.reference, ", error ", row.relative_error);
        CHECK(row.pass);
    }
}
