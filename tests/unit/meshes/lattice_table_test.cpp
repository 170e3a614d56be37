// SPDX-License-Identifier: Apache-2.0
// A finite lattice from a node table and a strut table, and the specimen that it becomes.
#include "meshes/catalogue/lattice_table.hpp"

#include "meshes/catalogue/catalogue.hpp"
#include "meshes/specimens/specimen.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"
#include "tests/support/open_data.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <numbers>

using namespace cellgrade;
using test::message_of;

namespace {

/// n x n x n body-centred cells of 10 mm from (1, 2, 3) mm on; numbers of nodes in steps of 10.
std::pair<std::string, std::string> body_centred_tables(int n) {
    std::string nodes = "node,x_mm,y_mm,z_mm\n", struts = "node_a,node_b\n";
    const auto corner = [n](int x, int y, int z) { return 10 * (x + (n + 1) * (y + (n + 1) * z)); };
    for (int z = 0; z <= n; ++z)
        for (int y = 0; y <= n; ++y)
            for (int x = 0; x <= n; ++x)
                nodes += fmt::format("{},{},{},{}\n", corner(x, y, z), 1 + 10 * x, 2 + 10 * y,
                                     3 + 10 * z);
    int middle = 10 * (n + 1) * (n + 1) * (n + 1);
    for (int z = 0; z < n; ++z)
        for (int y = 0; y < n; ++y)
            for (int x = 0; x < n; ++x, middle += 10) {
                nodes += fmt::format("{},{},{},{}\n", middle, 6 + 10 * x, 7 + 10 * y, 8 + 10 * z);
                for (int c = 0; c < 8; ++c)
                    struts += fmt::format("{},{}\n", middle,
                                          corner(x + (c & 1), y + (c >> 1 & 1), z + (c >> 2)));
            }
    return {nodes, struts};
}

StrutCell parsed(const std::string& nodes, const std::string& struts) {
    return parse_lattice_table(nodes, "n.csv", struts, "s.csv");
}

std::string refused(const std::string& nodes, const std::string& struts) {
    return message_of([&] { (void)parsed(nodes, struts); });
}

const std::string three_nodes = "node,x_mm,y_mm,z_mm\n0,0,0,0\n1,5,5,5\n2,10,0,10\n";

} // namespace

TEST_CASE("lattice table: the specimen is the lattice itself, nothing repeated or cut") {
    const auto [nodes, struts] = body_centred_tables(2);
    const StrutCell lattice = parsed(nodes, struts);
    CHECK(lattice.is_whole);
    CHECK(lattice.nodes.size() == 27 + 8);
    CHECK(lattice.struts.size() == 64);
    CHECK((lattice.lattice - 0.02 * Mat3::Identity()).norm() < 1e-15);
    const SpecimenPlan plan{.diameter = 0.9e-3};
    const BeamMesh mesh = build_specimen(lattice, plan);
    // 64 struts of half a body diagonal
    const double length = 64.0 * 0.005 * std::sqrt(3.0);
    CHECK(test::rel_err(mesh.centre_line_volume, std::numbers::pi * 0.2025e-6 * length) < 1e-12);
    CHECK(mesh.bottom.size() == 9);
    CHECK(mesh.top.size() == 9);
    // the same as the tiled cell, whose struts all lie inside the box
    SpecimenPlan tiled = plan;
    tiled.tiles = {2, 2, 2};
    const BeamMesh cells = build_specimen(scaled(find_cell("body_centred"), 2.0), tiled);
    CHECK(test::rel_err(cells.box.x(), 0.02) < 1e-12);
    // the volume of the union is a quadrature over places that differ by rounding
    CHECK(test::rel_err(mesh.solid_volume, cells.solid_volume) < 1e-7);
    CHECK(mesh.elements.size() == cells.elements.size());
}

TEST_CASE("lattice table: struts that lie in the faces stand once") {
    // A cube of twelve edges; a tiled cell would count each of them for its neighbours too.
    std::string nodes = "node,x_mm,y_mm,z_mm\n", struts = "node_a,node_b,diameter_mm\n";
    for (int c = 0; c < 8; ++c)
        nodes += fmt::format("{},{},{},{}\n", c, 4 * (c & 1), 4 * (c >> 1 & 1), 4 * (c >> 2));
    for (int c = 0; c < 8; ++c)
        for (const int bit : {1, 2, 4})
            if ((c & bit) == 0)
                struts += fmt::format("{},{},{}\n", c, c | bit, bit == 4 ? 0.5 : 0.25);
    const BeamMesh mesh = build_specimen(parsed(nodes, struts), {});
    const double pi4 = std::numbers::pi / 4.0;
    CHECK(test::rel_err(mesh.centre_line_volume, 4.0 * 0.004 * pi4 * (0.25e-6 + 2.0 * 0.0625e-6)) <
          1e-12);
}

TEST_CASE("lattice table: metres and millimetres, other columns passed over") {
    const StrutCell mm = parsed(three_nodes, "node_a,node_b\n0,1\n1,2\n");
    const StrutCell m = parsed("z_m;node;y_m;x_m;colour\n0;0;0;0;1\n0.005;1;0.005;0.005;1\n"
                               "0.01;2;0;0.01;1\n",
                               "node_b;node_a\n1;0\n2;1\n");
    for (std::size_t i = 0; i < 3; ++i)
        CHECK((mm.nodes[i] - m.nodes[i]).norm() < 1e-12);
    CHECK((mm.lattice - m.lattice).norm() < 1e-15);
}

TEST_CASE("lattice table: every fault is told with its file and line") {
    const std::string struts = "node_a,node_b\n0,1\n";
    CHECK(refused("node,x_mm,y_mm\n0,0,0\n", struts).find("n.csv:1:1: no column 'z_mm'") == 0);
    CHECK(refused("0;0;0;0\n1;1;1;1\n", struts).find("n.csv:1:1: no header row") == 0);
    CHECK(refused(three_nodes + "1,3,3,3\n", struts).find("n.csv:5:1: node 1 is given before") ==
          0);
    CHECK(refused(three_nodes + "7,5,5,5\n", struts).find("n.csv:5:1: this node lies in the") == 0);
    CHECK(refused(three_nodes + "1.5,3,3,3\n", struts).find("no whole number") !=
          std::string::npos);
    CHECK(refused("node,x_mm,y_mm,z_mm\n0,0,0,0\n1,5,5,0\n", struts).find("the same z") !=
          std::string::npos);
    CHECK(refused(three_nodes, "node_a,node_b\n0,1\n1,9\n").find("s.csv:3:1: there is no node 9") ==
          0);
    CHECK(refused(three_nodes, "node_a,node_b\n0,1\n1,0\n").find("s.csv:3:1: the strut between") ==
          0);
    CHECK(refused(three_nodes, "node_a,node_b\n1,1\n").find("s.csv:2:1: a strut from a node") == 0);
    CHECK(refused(three_nodes, "node_a,node_b,diameter_mm\n0,1,0\n").find("s.csv:2:1: diameter") ==
          0);
    CHECK(refused(three_nodes, "a,b\n0,1\n").find("s.csv:1:1: no column 'node_a'") == 0);
}

TEST_CASE("lattice table: a whole lattice is not tiled, endless or given a density") {
    const auto [nodes, struts] = body_centred_tables(1);
    const StrutCell lattice = parsed(nodes, struts);
    CHECK_THROWS_AS((void)build_specimen(lattice, {.tiles = {2, 1, 1}, .diameter = 1e-3}), Error);
    CHECK_THROWS_AS((void)build_specimen(lattice, {.sides = Sides::Periodic, .diameter = 1e-3}),
                    Error);
    CHECK_THROWS_AS((void)build_specimen(lattice, {.densities = {0.1}}), Error);
}

// Measured geometry: inelastic-lattices/geometry, 3 x 3 x 3 body-centred cells of 10 mm.
TEST_CASE("lattice table: a published lattice is read whole") {
    if (test::no_data())
        return;
    const std::filesystem::path folder = *test::data_folder() / "inelastic-lattices" / "geometry";
    const StrutCell lattice = read_lattice_table(folder / "bcc_3x3x3_cell10mm_nodes.csv",
                                                 folder / "bcc_3x3x3_cell10mm_struts.csv");
    const BeamMesh mesh = build_specimen(lattice, {.diameter = 0.9e-3});
    CHECK((mesh.box - Vec3(0.03, 0.03, 0.03)).norm() < 1e-12);
    CHECK(test::rel_err(mesh.centre_line_volume,
                        std::numbers::pi * 0.2025e-6 * 216.0 * 0.005 * std::sqrt(3.0)) < 1e-12);
    CHECK(mesh.bottom.size() == 16);
    CHECK(mesh.top.size() == 16);
}
