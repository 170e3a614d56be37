// SPDX-License-Identifier: Apache-2.0
#include "solver/core/error.hpp"
#include "solver/core/pack.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/beam_kernel.hpp"
#include "solver/elements/node_gather.hpp"
#include "tests/support/compare.hpp"
#include "tests/unit/elements/beam_samples.hpp"

#include <doctest/doctest.h>

#include <omp.h>

#include <cstring>
#include <numbers>

using namespace cellgrade;
using namespace cellgrade::test;

namespace {

/// Restores the number of threads.
struct Threads {
    int before = omp_get_max_threads();
    explicit Threads(int n) { omp_set_num_threads(n); }
    ~Threads() { omp_set_num_threads(before); }
    Threads(const Threads&) = delete;
    Threads& operator=(const Threads&) = delete;
};

bool same_bits(const std::vector<NodeLoad>& a, const std::vector<NodeLoad>& b) {
    return a.size() == b.size() &&
           std::memcmp(a.data(), b.data(), a.size() * sizeof(NodeLoad)) == 0;
}

} // namespace

TEST_SUITE_BEGIN("elements");

// Exact: std::atan. Tolerance: rounding of the result and of the root.
TEST_CASE("beam kernel: the fitted arc tangent is good to rounding over its range") {
    double worst = 0.0;
    for (int i = 1; i <= 20000; ++i) {
        const double z = lane::largest_turn * i / 20000.0;
        const double g = 1.0 - z * polynomial(lane::atan_rest, z);
        worst = std::max(worst, rel_err(g, std::atan(std::sqrt(z)) / std::sqrt(z)));
    }
    CHECK(worst < 4.5e-16);
    CHECK(rel_err(polynomial(lane::atan_rest, 0.0), 1.0 / 3.0) < 1e-16);
    CHECK(rel_err(lane::largest_turn, std::pow(std::tan(0.225 * std::numbers::pi), 2)) < 1e-15);
}

TEST_CASE("pack: a transposed square has its rows as columns, quads come from their records") {
    constexpr int n = lanes_of<Pack>;
    std::array<Pack, n> square;
    for (int i = 0; i < n; ++i)
        square[i] = Pack([i](int j) { return 100.0 * i + j; });
    transpose(square);
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j)
            CHECK(double(square[i][j]) == 100.0 * j + i);

    alignas(64) std::array<double, 80> records;
    for (int i = 0; i < 80; ++i)
        records[i] = i;
    std::array<std::int32_t, n> number;
    for (int i = 0; i < n; ++i)
        number[i] = (7 * i + 3) % 20;
    const auto quads = load_quads<Pack>(records.data(), number.data());
    for (int k = 0; k < 4; ++k)
        for (int i = 0; i < n; ++i)
            CHECK(double(quads[k][i]) == 4.0 * number[i] + k);

    for (int n_used = 1; n_used <= n; ++n_used) {
        alignas(64) std::array<double, 80> back{};
        store_quads<Pack>(quads, n_used, [&](int i) { return &back[4 * number[i]]; });
        std::array<double, 80> want{};
        for (int i = 0; i < n_used; ++i)
            for (int k = 0; k < 4; ++k)
                want[4 * number[i] + k] = 4.0 * number[i] + k;
        CHECK(back == want);
    }
}

// Exact: the scalar oracle. Tolerance: rounding of fused and separate multiply-adds.
TEST_CASE("beam: vector lanes agree with the scalar oracle at any size") {
    for (const Index n : {0, 1, lanes_of<Pack> - 1, lanes_of<Pack>, lanes_of<Pack> + 1, 7, 8, 61}) {
        const BeamMesh mesh = loose_elements(n, 51);
        BeamBlock block = make_beam_block(mesh, sample_moduli());
        set_bulk_viscosity(block, 0.06, 1100.0, sample_moduli());
        BeamBlock oracle = block;
        // one slot more than needed at each end: nothing may be written there
        std::vector<NodeLoad> got(2 * n + 2, NodeLoad{.fx = 7.0}), want(2 * n);
        const std::span<NodeLoad> slots(got.data() + 1, 2 * n);
        for (unsigned step = 0; step < 3; ++step) {
            const std::vector<NodePose> poses = strongly_bent(mesh, 52 + step);
            CHECK(beam_forces(block, poses, mesh.box, 1e-5, slots, WithEnergy::Yes) == no_index);
            CHECK(beam_forces_scalar(oracle, poses, mesh.box, 1e-5, want, WithEnergy::Yes) ==
                  no_index);
            CHECK(got.front().fx == 7.0);
            CHECK(got.back().fx == 7.0);
            if (n == 0)
                continue;
            CHECK(load_difference({slots.begin(), slots.end()}, want) < 1e-12);
            CHECK(rel_err(beam_energies(block).stored, beam_energies(oracle).stored) < 1e-12);
            CHECK(std::abs(beam_energies(block).dissipated - beam_energies(oracle).dissipated) <
                  1e-12 * beam_energies(oracle).stored);
        }
    }
}

TEST_CASE("beam: the same bits for 1, 2 and 3 threads, gathered too") {
    const BeamMesh mesh = straight_row(1001, {0.9, 0.3, -0.2}, sample_radius);
    const std::vector<NodePose> poses = random_poses(mesh, 1e-4, 0.3, 61);
    std::vector<NodeLoad> first_slots, first_nodes;
    for (const int n : {1, 2, 3}) {
        const Threads threads(n);
        BeamBlock block = make_beam_block(mesh, sample_moduli());
        const std::vector<NodeLoad> slots = slot_loads(block, poses, mesh.box);
        std::vector<NodeLoad> nodes(mesh.nodes.size());
        gather_loads(make_node_gather(block), slots, nodes);
        if (n == 1) {
            first_slots = slots;
            first_nodes = nodes;
        }
        CHECK(same_bits(slots, first_slots));
        CHECK(same_bits(nodes, first_nodes));
    }
}

TEST_CASE("beam: the result of an element does not depend on its lane") {
    const BeamMesh mesh = loose_elements(19, 71);
    const std::vector<NodePose> poses = strongly_bent(mesh, 72);
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    const std::vector<NodeLoad> all = slot_loads(block, poses, mesh.box);
    BeamMesh fewer = mesh;
    fewer.elements.erase(fewer.elements.begin(), fewer.elements.begin() + 3);
    BeamBlock shifted = make_beam_block(fewer, sample_moduli());
    CHECK(same_bits(slot_loads(shifted, poses, mesh.box), {all.begin() + 6, all.end()}));
}

TEST_CASE("beam: the lowest element turned too far or not finite is returned") {
    const BeamMesh mesh = loose_elements(40, 81);
    BeamBlock block = make_beam_block(mesh, sample_moduli());
    std::vector<NodeLoad> slots(80);
    const auto failed = [&](const std::vector<NodePose>& poses) {
        return beam_forces(block, poses, mesh.box, 0.0, slots, WithEnergy::No);
    };
    std::vector<NodePose> poses = rest_poses(mesh);
    CHECK(failed(poses) == no_index);
    poses[2 * 33] = spun(poses[2 * 33], {0, 0.905 * std::numbers::pi, 0});
    CHECK(failed(poses) == 33);
    poses[2 * 21 + 1].y = std::nan("");
    CHECK(failed(poses) == 21);
    poses[2 * 9].qz = HUGE_VAL;
    CHECK(failed(poses) == 9);
    poses = rest_poses(mesh);
    poses[2 * 33] = spun(poses[2 * 33], {0, 0.895 * std::numbers::pi, 0});
    CHECK(failed(poses) == no_index);
}

TEST_CASE("beam: bad elements and moduli are refused by number") {
    BeamMesh mesh = loose_elements(3, 91);
    mesh.elements[2].radius = 0.0;
    CHECK_THROWS_WITH_AS(make_beam_block(mesh, sample_moduli()),
                         "beam element 2: radius 0 m must be above 0", Error);
    mesh = loose_elements(3, 91);
    mesh.elements[1].b = 6;
    CHECK_THROWS_WITH_AS(make_beam_block(mesh, sample_moduli()),
                         "beam element 1: node 6 is outside 0 .. 5", Error);
    mesh = loose_elements(1, 91);
    mesh.nodes[1] = mesh.nodes[0];
    CHECK_THROWS_AS(make_beam_block(mesh, sample_moduli()), Error);
    CHECK_THROWS_AS(static_cast<void>(section_moduli(-1.0, 0.3)), Error);
    CHECK_THROWS_AS(static_cast<void>(section_moduli(1e6, 0.6)), Error);
}

// Source: Cowper (1966), kappa = 6 (1 + nu)/(7 + 6 nu): 6/7 at nu = 0, 0.896907 at 0.45
// (references.md F17).
TEST_CASE("section: Cowper's shear factor") {
    CHECK(rel_err(cowper_shear_factor(0.0), 6.0 / 7.0) < 1e-15);
    CHECK(rel_err(cowper_shear_factor(0.45), 0.896907) < 1e-6);
}

TEST_SUITE_END();
