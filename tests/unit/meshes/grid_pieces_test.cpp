// SPDX-License-Identifier: Apache-2.0
#include "meshes/density/grid_pieces.hpp"

#include <doctest/doctest.h>

#include <functional>

using namespace cellgrade;

namespace {

const Vec3i n(6, 5, 4);

std::vector<std::uint8_t> marks(const std::function<bool(int, int, int)>& test) {
    std::vector<std::uint8_t> m;
    for (int k = 0; k < n.z(); ++k)
        for (int j = 0; j < n.y(); ++j)
            for (int i = 0; i < n.x(); ++i)
                m.push_back(test(i, j, k));
    return m;
}

} // namespace

TEST_CASE("grid pieces: a periodic axis joins the ends and counts the winding") {
    const auto rod = marks([](int, int j, int k) { return j == 2 && k == 1; });
    const GridPieces open = find_pieces(n, {false, false, false}, rod, Joined::Faces);
    REQUIRE(open.pieces.size() == 1);
    CHECK(open.pieces[0].n_nodes == 6);
    CHECK(open.pieces[0].winding == 0);
    CHECK(open.pieces[0].on_face == std::array{true, true, false, false, false, false});
    const GridPieces endless = find_pieces(n, {true, false, false}, rod, Joined::Faces);
    CHECK(endless.pieces[0].winding == 1);
    CHECK_FALSE(endless.pieces[0].on_any_face());
    const auto ends = marks([](int i, int j, int k) { return i != 3 && j == 2 && k == 1; });
    CHECK(find_pieces(n, {false, false, false}, ends, Joined::Faces).pieces.size() == 2);
    const GridPieces joined = find_pieces(n, {true, false, false}, ends, Joined::Faces);
    CHECK(joined.pieces.size() == 1);
    CHECK(joined.pieces[0].winding == 0);
    const auto plate = marks([](int, int, int k) { return k == 1; });
    CHECK(find_pieces(n, {true, true, true}, plate, Joined::Faces).pieces[0].winding == 2);
    const auto all = marks([](int, int, int) { return true; });
    CHECK(find_pieces(n, {true, true, true}, all, Joined::Faces).pieces[0].winding == 3);
}

TEST_CASE("grid pieces: tetrahedron edges join along one diagonal only") {
    const auto up = marks([](int i, int j, int k) { return k == 0 && i == j; });
    const auto down = marks([](int i, int j, int k) { return k == 0 && i + j == 4; });
    const std::array<bool, 3> open = {false, false, false};
    CHECK(find_pieces(n, open, up, Joined::Diagonals).pieces.size() == 1);
    CHECK(find_pieces(n, open, up, Joined::Faces).pieces.size() == 5);
    CHECK(find_pieces(n, open, down, Joined::Diagonals).pieces.size() == 5);
}
