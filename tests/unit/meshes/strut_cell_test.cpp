// SPDX-License-Identifier: Apache-2.0
#include "meshes/catalogue/catalogue.hpp"

#include "meshes/catalogue/strut_net.hpp"
#include "solver/core/error.hpp"
#include "tests/support/compare.hpp"

#include <doctest/doctest.h>

using namespace cellgrade;

namespace {

std::string message_of(std::string_view text) {
    try {
        (void)parse_strut_cell(text, "c.toml");
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::Input);
        return e.what();
    }
    return "no error";
}

bool says(const std::string& message, std::string_view start, std::string_view part) {
    CAPTURE(message);
    const bool ok = message.starts_with(start) && message.find(part) != std::string::npos;
    CHECK(message.find('\n') == std::string::npos);
    if (!ok)
        MESSAGE(message);
    return ok;
}

const std::string cube = "size_mm = [4, 4, 4]\nnodes = [[0, 0, 0]]\nstruts = [[0, 0], [0, 0], [0, "
                         "0]]\nimages = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]\n";

} // namespace

TEST_CASE("strut cell: corners and edges given in full are counted once") {
    // All 8 corners and all 12 edges of a cube: one node, three struts (common practice for users'
    // files, no source).
    const StrutCell cell = parse_strut_cell(R"(
size_mm = [4, 5, 6]
nodes = [[0,0,0],[1,0,0],[0,1,0],[1,1,0],[0,0,1],[1,0,1],[0,1,1],[1,1,1]]
struts = [[0,1],[2,3],[4,5],[6,7],[0,2],[1,3],[4,6],[5,7],[0,4],[1,5],[2,6],[3,7]]
)",
                                            "full");
    CHECK(cell.name == "full");
    CHECK(cell.nodes.size() == 1);
    CHECK(cell.struts.size() == 3);
    double sum = 0.0;
    for (const Strut& strut : cell.struts)
        sum += length(cell, strut);
    CHECK(test::rel_err(sum, 0.015) < 1e-12);
}

TEST_CASE("strut cell: faces given twice give the octet of the catalogue") {
    // Textbook drawing of the octet: 8 corners, 6 face centres; struts of all six faces (4 each)
    // and of the inner octahedron (12). 24 on faces are shared by two cells: 12 + 12 = 24.
    std::string nodes, struts;
    std::vector<Vec3> at;
    for (int k = 0; k < 8; ++k)
        at.emplace_back(k & 1, (k >> 1) & 1, k >> 2);
    for (int axis = 0; axis < 3; ++axis)
        for (int side = 0; side < 2; ++side) {
            Vec3 p = Vec3::Constant(0.5);
            p[axis] = side;
            at.push_back(p);
        }
    for (const Vec3& p : at)
        nodes += fmt::format("[{},{},{}],", p.x(), p.y(), p.z());
    for (std::size_t i = 0; i < at.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (std::abs((at[i] - at[j]).norm() - std::sqrt(0.5)) < 1e-9)
                struts += fmt::format("[{},{}],", i, j);
    const StrutCell cell = parse_strut_cell(
        fmt::format("size_mm = [5, 5, 5]\nnodes = [{}]\nstruts = [{}]\n", nodes, struts), "o");
    CHECK(cell.nodes.size() == find_cell("octet").nodes.size());
    CHECK(cell.struts.size() == find_cell("octet").struts.size());
}

TEST_CASE("strut cell: oblique vectors, names and diameters are read") {
    const StrutCell cell = parse_strut_cell(R"(
name = "rhomb"
vectors_mm = [[4, 0, 0], [2, 3, 0], [0, 1, 5]]
nodes = [[0, 0, 0]]
struts = [[0, 0], [0, 0], [0, 0]]
images = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]
diameters_mm = [0.5, 0.6, 0.7]
)",
                                            "x");
    CHECK(cell.name == "rhomb");
    CHECK(test::rel_err(length(cell, cell.struts[1]), 1e-3 * std::sqrt(13.0)) < 1e-12);
    CHECK(test::rel_err(cell_volume(cell), 60e-9) < 1e-12);
    CHECK(test::rel_err(cell.diameters[2], 0.7e-3) < 1e-12);
}

TEST_CASE("strut cell: each bad input ends in one line with its place") {
    CHECK(message_of(cube) == "no error");
    CHECK(
        says(message_of("nodes = [[0,0,0]]\nstruts = [[0,0]]\n"), "c.toml: size_mm: ", "missing"));
    CHECK(says(message_of(cube + "image = [[1,0,0]]\n"),
               "c.toml:5:1: image: ", "did you mean images"));
    CHECK(says(message_of(cube + "vectors_mm = [[1,0,0],[0,1,0],[0,0,1]]\n"),
               "c.toml:5:14: vectors_mm: ", "size_mm is given too"));
    CHECK(says(message_of(cube + "schema = 2\n"), "c.toml:5:10: schema: ", "only schema 1"));
    CHECK(says(message_of(cube + "diameters_mm = [1, 1]\n"),
               "c.toml:5:16: diameters_mm: ", "3, but 2 are given"));
    CHECK(says(message_of(cube + "diameters_mm = [1, -1, 1]\n"),
               "c.toml:5:20: diameters_mm[1]: ", "-1 is not allowed"));
    CHECK(says(message_of(cube + "diameters_mm = [1, nan, 1]\n"),
               "c.toml:5:20: diameters_mm[1]: ", "not a finite number"));
}

TEST_CASE("strut cell: faults of nodes and struts name the row") {
    const auto cell = [](const char* nodes, const char* struts, const char* images) {
        return message_of(fmt::format("size_mm = [4, 4, 4]\nnodes = {}\nstruts = {}\nimages = {}\n",
                                      nodes, struts, images));
    };
    const char* three = "[[0,0],[0,0],[0,0]]";
    const char* axes = "[[1,0,0],[0,1,0],[0,0,1]]";
    CHECK(says(cell("[[0,0,0],[0.5,0.5,0.5],[0,0,0]]", three, axes),
               "c.toml:2:32: nodes[2]: ", "node 2 has the place of node 0"));
    CHECK(says(cell("[[0,0,0],[0.5,0.5,0.5]]", three, axes),
               "c.toml:2:18: nodes[1]: ", "node 1 has no strut"));
    CHECK(says(cell("[[0,0,0]]", "[[0,0],[0,1],[0,0]]", axes),
               "c.toml:3:17: struts[1]: ", "there is no node 1; nodes are numbered 0 to 0"));
    CHECK(says(cell("[[0,0,0]]", three, "[[1,0,0],[0,0,0],[0,0,1]]"),
               "c.toml:3:17: struts[1]: ", "strut 1 has no length"));
    CHECK(says(cell("[[0,0,0],[1,0,0]]", "[[0,1],[0,0]]", "[[-1,0,0],[0,0,1]]"),
               "c.toml:3:11: struts[0]: ", "has no length"));
    CHECK(
        says(cell("[[0,0,0]]", three, "[[1,0,0]]"), "c.toml:4:10: images: ", "3, but 1 are given"));
    CHECK(says(cell("[[0,0]]", three, axes), "c.toml:2:10: nodes[0]: ", "3 values are needed"));
    CHECK(says(message_of("vectors_mm = [[1,0,0],[0,1,0],[1,1,0]]\nnodes = [[0,0,0]]\nstruts = "
                          "[[0,0]]\n"),
               "c.toml:1:14: vectors_mm: ", "lie in one plane"));
    CHECK(says(message_of("size_mm = [4, 0, 4]\nnodes = [[0,0,0]]\nstruts = [[0,0]]\n"),
               "c.toml:1:15: size_mm[1]: ", "0 is not allowed"));
}

TEST_CASE("strut cell: a net in parts is refused, also when only periodicity tells") {
    const auto cell = [](const char* nodes, const char* struts, const char* images) {
        return message_of(fmt::format("size_mm = [4, 4, 4]\nnodes = {}\nstruts = {}\nimages = {}\n",
                                      nodes, struts, images));
    };
    CHECK(says(cell("[[0,0,0]]", "[[0,0],[0,0]]", "[[1,0,0],[0,1,0]]"),
               "c.toml:3:10: struts: ", "2 of 3 directions only: the net falls into layers"));
    CHECK(says(cell("[[0,0,0]]", "[[0,0]]", "[[1,0,0]]"), "c.toml:3:10: struts: ", "chains"));
    // two simple cubic nets shifted by half a cell never meet
    CHECK(says(cell("[[0,0,0],[0.5,0.5,0.5]]", "[[0,0],[0,0],[0,0],[1,1],[1,1],[1,1]]",
                    "[[1,0,0],[0,1,0],[0,0,1],[1,0,0],[0,1,0],[0,0,1]]"),
               "c.toml:2:18: nodes[1]: ", "not joined to the first node"));
    // face diagonals reach every second cell corner (index 2 in Z^3, the face-centred lattice)
    CHECK(says(cell("[[0,0,0]]", "[[0,0],[0,0],[0,0]]", "[[1,1,0],[0,1,1],[1,0,1]]"),
               "c.toml:3:10: struts: ", "2 nets pass through one another"));
}

TEST_CASE("strut cell: crossing struts without a joint are refused") {
    const std::string message = message_of(R"(size_mm = [4, 4, 4]
nodes = [[0,0,0]]
struts = [[0,0],[0,0],[0,0],[0,0],[0,0]]
images = [[1,0,0],[0,1,0],[0,0,1],[1,1,0],[1,-1,0]]
)");
    CHECK(says(message, "c.toml:3:35: struts[4]: ", "crosses strut 3 without being joined"));
    const std::string through = message_of(R"(size_mm = [4, 4, 4]
nodes = [[0,0,0],[0.5,0,0]]
struts = [[0,0],[0,0],[0,0],[1,0]]
images = [[1,0,0],[0,1,0],[0,0,1],[0,1,0]]
)");
    CHECK(says(through, "c.toml:3:29: struts[3]: ", "meets strut 0 without being joined"));
}
