// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"

#include "meshes/catalogue/strut_net.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>

using namespace cellgrade;

namespace {

/// What theory says of a cell with first lattice vector a.
struct Expected {
    std::size_t nodes;
    std::size_t struts;
    double total_length;             ///< of all struts, in units of a
    std::map<int, int> connectivity; ///< struts a joint -> how many joints
};

// Counts per cubic cell from crystallography; lengths from the coordinates.
// simple cubic .. octet, kelvin, diamond: strut lengths and connectivities as in Deshpande, Fleck
//   and Ashby 2001 (12 for octet), Zhu, Knott and Mills 1997 (24 struts of a / (2 sqrt 2)).
// weaire_phelan: 8 cells and 54 faces a period (two 12-, six 14-sided cells share faces in pairs:
//   (2 * 12 + 6 * 14) / 2 = 54), four struts a joint, so E = 2 V and Euler on the 3-torus,
//   V - E + F - C = 0, gives V = 46, E = 92. Length: 12 edges of 1.5 s, 48 of
//   s sqrt(21)/4, 24 of (1/4, 1/2) to (3s/4, 3s/2) and 8 of sqrt 3 (1/2 - 2 s), s = 108^(-1/3).
const double s = std::cbrt(1.0 / 108.0);
const double r2 = std::sqrt(2.0);
const double r3 = std::sqrt(3.0);
const double weaire_phelan_length = 12 * 1.5 * s + 48 * s * std::sqrt(21.0) / 4.0 +
                                    24 * std::hypot(0.25 - 0.75 * s, 0.5 - 1.5 * s) +
                                    8 * r3 * (0.5 - 2.0 * s);
const std::map<std::string, Expected> theory = {
    {"simple_cubic", {1, 3, 3.0, {{6, 1}}}},
    {"body_centred", {2, 8, 4.0 * r3, {{8, 2}}}},
    {"body_centred_vertical", {2, 9, 4.0 * r3 + 1.0, {{8, 1}, {10, 1}}}},
    {"face_centred", {4, 12, 12.0 / r2, {{4, 3}, {12, 1}}}},
    {"octet", {4, 24, 24.0 / r2, {{12, 4}}}},
    {"kelvin", {12, 24, 24.0 / (2.0 * r2), {{4, 12}}}},
    {"rhombic_dodecahedron", {12, 32, 32.0 * r3 / 4.0, {{4, 8}, {8, 4}}}},
    {"diamond", {8, 16, 16.0 * r3 / 4.0, {{4, 8}}}},
    {"weaire_phelan", {46, 92, weaire_phelan_length, {{4, 46}}}},
    {"cuboctahedron", {3, 12, 12.0 / r2, {{8, 3}}}},
    {"hexagonal_prism", {4, 10, 6.0 / r3 + 4.0 * 5.0 / (3.0 * r3), {{5, 4}}}},
    {"isotropic_mix", {2, 14, 4.0 * r3 + 6.0, {{14, 2}}}},
    {"chiral_net", {8, 12, 12.0 * r2 / 4.0, {{3, 8}}}},
    {"re_entrant", {8, 20, 4 * 0.7 + 16 * std::hypot(0.5, 0.2), {{5, 8}}}}, // own proportions
};

std::map<int, int> connectivity(const StrutCell& cell) {
    std::vector<int> degree(cell.nodes.size(), 0);
    for (const Strut& strut : cell.struts) {
        ++degree[strut.a];
        ++degree[strut.b];
    }
    std::map<int, int> counts;
    for (const int d : degree)
        ++counts[d];
    return counts;
}

double total_length(const StrutCell& cell) {
    double sum = 0.0;
    for (const Strut& strut : cell.struts)
        sum += length(cell, strut);
    return sum;
}

} // namespace

TEST_CASE("catalogue: every cell reads, names its source and has the struts of theory") {
    REQUIRE(catalogue_names().size() >= 14);
    for (const auto& [name, want] : theory) {
        CAPTURE(name);
        const StrutCell cell = find_cell(name); // reads, hence is one piece without crossings
        CHECK(cell.name == name);
        CHECK(cell.nodes.size() == want.nodes);
        CHECK(cell.struts.size() == want.struts);
        CHECK(connectivity(cell) == want.connectivity);
        const double a = cell.lattice.col(0).norm();
        CHECK(test::rel_err(total_length(cell), want.total_length * a) < 1e-8);
    }
    for (const std::string& name : catalogue_names()) {
        CAPTURE(name);
        CHECK((theory.contains(name) || name == "asymmetric"));
        CHECK_FALSE(find_cell(name).source.empty());
    }
}

TEST_CASE("catalogue: the embedded cells are the files of the folder") {
    for (const std::string& name : catalogue_names()) {
        CAPTURE(name);
        const StrutCell file =
            find_cell(CELLGRADE_SOURCE_DIR "/meshes/catalogue/cells/" + name + ".toml");
        const StrutCell embedded = find_cell(name);
        CHECK(file.nodes == embedded.nodes);
        CHECK(file.struts.size() == embedded.struts.size());
        CHECK(file.lattice == embedded.lattice);
    }
}

TEST_CASE("isotropic_mix: the area ratio makes the stretched net isotropic") {
    // Fourth-order sum over struts, C_ijkl ~ sum A l t_i t_j t_k t_l: C11 - C12 = 2 C44.
    const StrutCell cell = find_cell("isotropic_mix");
    double c11 = 0.0, c12 = 0.0;
    for (std::size_t k = 0; k < cell.struts.size(); ++k) {
        const Strut& strut = cell.struts[k];
        const Vec3 d = cell.lattice *
                       (cell.nodes[strut.b] + strut.image_b.cast<double>() - cell.nodes[strut.a]);
        const Vec3 t = d.normalized();
        const double weight = cell.diameters[k] * cell.diameters[k] * d.norm();
        c11 += weight * std::pow(t.x(), 4);
        c12 += weight * std::pow(t.x() * t.y(), 2); // = c44
    }
    CHECK(test::rel_err(c11, 3.0 * c12) < 1e-9);
}

TEST_CASE("asymmetric: no reflection or half turn about an axis keeps the directions of struts") {
    const StrutCell cell = find_cell("asymmetric");
    Mat3 fabric = Mat3::Zero();
    for (const Strut& strut : cell.struts) {
        const Vec3 d = cell.lattice *
                       (cell.nodes[strut.b] + strut.image_b.cast<double>() - cell.nodes[strut.a]);
        fabric += d * d.transpose() / d.norm();
    }
    // any of these symmetries would make two of the three off-diagonal terms vanish
    const double size = fabric.trace();
    CHECK(std::abs(fabric(0, 1)) > 0.01 * size);
    CHECK(std::abs(fabric(1, 2)) > 0.01 * size);
    CHECK(std::abs(fabric(0, 2)) > 0.01 * size);
}

TEST_CASE("find_cell: an unknown name names the nearest cell") {
    try {
        (void)find_cell("octett");
        FAIL("no error");
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::Input);
        CHECK(e.message().starts_with("cell 'octett' is not in the catalogue; did you mean octet"));
    }
}

TEST_CASE("scaled: lengths and diameters grow together") {
    const StrutCell cell = find_cell("isotropic_mix");
    const StrutCell larger = scaled(cell, 1.6);
    CHECK(test::rel_err(cell_volume(larger), 4.096 * cell_volume(cell)) < 1e-12);
    CHECK(test::rel_err(larger.diameters[9], 1.6 * cell.diameters[9]) < 1e-12);
    CHECK_THROWS_AS((void)scaled(cell, 0.0), Error);
}
