// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_tiles.hpp"

#include "solver/elements/tet_forces.hpp"
#include "tests/support/tet_meshes.hpp"

#include <doctest/doctest.h>
#include <omp.h>

#include <algorithm>
#include <cstring>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

/// A block of 6 n^3 tetrahedra, every node displaced a little.
struct Shaken {
    TetMesh mesh;
    TetBlock block;
    std::vector<NodePoint> x;

    explicit Shaken(int n)
        : mesh(box_mesh(n, n, n, Vec3::Constant(1e-3 * n))),
          block(
              make_tet_block(mesh, NeoHookean{.mu = 2e6, .kappa = 1e8, .void_fraction = 0.1}, {})) {
        TetMesh moved = mesh;
        shake(moved.nodes, 5e-6, 7);
        x = rest_positions(moved);
    }
};

std::vector<NodeForce> node_forces(Shaken& s) {
    TetTiles tiles = make_tet_tiles(s.mesh);
    std::vector<NodeForce> force(s.mesh.nodes.size());
    REQUIRE(tet_node_forces(s.block, tiles, s.x, 0.0, force, WithEnergy::No) == no_index);
    return force;
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Exact      the ten forces of each element, added one by one
// Tolerance  rounding of some twenty-four summands
TEST_CASE("tiles: the sums at the nodes are those of the elements, in one tile or many") {
    for (const int n : {1, 2, 4, 6}) { // 6, 48, 384 and 1296 elements
        Shaken s(n);
        std::vector<NodeForce> slots(s.block.n_slots());
        REQUIRE(tet_forces(s.block, s.x, 0.0, slots, WithEnergy::No) == no_index);
        std::vector<Vec3> want(s.mesh.nodes.size(), Vec3::Zero());
        double largest = 0.0;
        for (std::size_t e = 0; e < s.mesh.tets.size(); ++e)
            for (std::size_t a = 0; a < 10; ++a) {
                const NodeForce& f = slots[10 * e + a];
                want[s.mesh.tets[e][a]] += Vec3(f.x, f.y, f.z);
                largest = std::max(largest, Vec3(f.x, f.y, f.z).norm());
            }
        const std::vector<NodeForce> got = node_forces(s);
        double difference = 0.0;
        for (std::size_t i = 0; i < got.size(); ++i)
            difference =
                std::max(difference, (Vec3(got[i].x, got[i].y, got[i].z) - want[i]).norm());
        CHECK(difference < 24 * 2.22e-16 * largest);
        CHECK(make_tet_tiles(s.mesh).n_tiles() == (s.block.n_elements + 255) / 256);
    }
}

TEST_CASE("tiles: the same bits for any number of threads") {
    Shaken s(7);
    const int before = omp_get_max_threads();
    std::vector<NodeForce> first;
    for (const int n : {1, 2, 3, 4}) {
        omp_set_num_threads(n);
        const std::vector<NodeForce> force = node_forces(s);
        if (first.empty())
            first = force;
        CHECK(std::memcmp(first.data(), force.data(), force.size() * sizeof(NodeForce)) == 0);
    }
    omp_set_num_threads(before);
}

// A solid may touch a periodic side in an edge alone: the original there has no element of its own.
TEST_CASE("tiles: a node of no element gets zero, call after call, and what its copies get") {
    Shaken s(2);
    const auto lonely = static_cast<Index>(s.mesh.nodes.size());
    s.mesh.nodes.push_back(Vec3::Zero());
    s.x.push_back({});
    TetTiles tiles = make_tet_tiles(s.mesh);
    const NodeCopy copy{.node = s.mesh.tets[0][0], .original = lonely, .image = Vec3i(1, 0, 0)};
    std::vector<NodeForce> force(s.mesh.nodes.size(), {1.0, 2.0, 3.0});
    NodeForce of_copy;
    for (int call = 0; call < 3; ++call) {
        REQUIRE(tet_node_forces(s.block, tiles, s.x, 0.0, force, WithEnergy::No) == no_index);
        CHECK(force[lonely].x == 0.0);
        of_copy = force[copy.node];
        CHECK(fold_copies({&copy, 1}, force) == Vec3(of_copy.x, 0.0, 0.0));
        CHECK(force[lonely].z == of_copy.z);
        CHECK(force[copy.node].x == 0.0);
    }
}

TEST_CASE("tiles: every node of every tile is written once, shared ones through their own list") {
    const TetTiles tiles = make_tet_tiles(box_mesh(5, 5, 5, Vec3::Ones()));
    std::vector<int> written(11 * 11 * 11, 0);
    std::vector<int> partial(tiles.partial.size(), 0);
    for (const Index to : tiles.goes_to)
        to >= 0 ? ++written[to] : ++partial[~to];
    for (const Index node : tiles.shared_node)
        ++written[node];
    CHECK(std::all_of(written.begin(), written.end(), [](int n) { return n == 1; }));
    CHECK(std::all_of(partial.begin(), partial.end(), [](int n) { return n == 1; }));
    CHECK(!tiles.shared_node.empty());
    CHECK(tiles.first_partial.back() == static_cast<Index>(partial.size()));
}

TEST_SUITE_END();
