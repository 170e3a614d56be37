// SPDX-License-Identifier: Apache-2.0
// Ten-node tetrahedra: element-steps a second of each law, and their share of this machine's
// multiply-add and bandwidth limits. Run: tet_bench --benchmark_out=tet.json
#include "benchmarks/kernels/timed_run.hpp"
#include "solver/elements/tet_forces.hpp"
#include "solver/elements/tet_stable_step.hpp"
#include "tests/support/tet_meshes.hpp"

#include <cmath>
#include <cstdio>

namespace {

using namespace cellgrade;

/// A box of tetrahedra with every node displaced a little.
struct Case {
    TetBlock block;
    TetMass mass;
    TetTiles tiles;
    std::vector<NodePoint> x;
    std::vector<NodeForce> slots, forces;
};

const std::vector<PronyTerm> three_terms = {
    {.share = 0.2, .time_s = 1e-3}, {.share = 0.15, .time_s = 1e-2}, {.share = 0.1, .time_s = 0.1}};

AnyLaw law_of(int number) {
    if (number == 0)
        return NeoHookean{.mu = 2e6, .kappa = 1e8, .void_fraction = 0.1};
    if (number == 1)
        return Yeoh{.C10 = 1e6, .C20 = 1e5, .C30 = 1e4, .kappa = 1e8, .void_fraction = 0.1};
    if (number == 2)
        return LinearElastic{.E = 6e6, .nu = 0.49, .void_fraction = 0.1};
    if (number == 3)
        return Ogden{.mu_1 = 2.5e6, // all terms: the flops are counted so
                     .alpha_1 = 1.6,
                     .mu_2 = 1e4,
                     .alpha_2 = 4.0,
                     .mu_3 = -1e4,
                     .alpha_3 = -2.0,
                     .mu_4 = 1e3,
                     .alpha_4 = 6.0,
                     .kappa = 1e8,
                     .void_fraction = 0.1};
    return HillFoam{.mu_1 = 2e6,
                    .alpha_1 = 3.0,
                    .nu_1 = 0.2,
                    .mu_2 = 1e5,
                    .alpha_2 = -1.0,
                    .nu_2 = 0.2,
                    .mu_3 = 1e4,
                    .alpha_3 = 8.0,
                    .nu_3 = 0.1,
                    .void_fraction = 0.7};
}

/// n^3 cells of six elements, 1 mm, numbered along the cells as a mesher that sorts by place does.
TetMesh sorted_box(int n) {
    TetMesh mesh = test::box_mesh(n, n, n, Vec3(1e-3 * n, 1e-3 * n, 1e-3 * n));
    std::vector<Index> place(mesh.nodes.size(), no_index);
    std::vector<Vec3> nodes;
    for (TetNodes& tet : mesh.tets)
        for (Index& node : tet) {
            if (place[node] == no_index) {
                place[node] = static_cast<Index>(nodes.size());
                nodes.push_back(mesh.nodes[node]);
            }
            node = place[node];
        }
    mesh.nodes = std::move(nodes);
    return mesh;
}

Case make_case(Index n_elements, int law, bool prony) {
    const int n = static_cast<int>(std::lround(std::cbrt(n_elements / 6.0)));
    TetMesh mesh = sorted_box(n);
    Case c;
    c.block = make_tet_block(mesh, law_of(law), prony ? three_terms : std::vector<PronyTerm>{});
    c.mass = tet_lumped_mass(mesh, c.block, 1100.0);
    c.tiles = make_tet_tiles(mesh);
    test::shake(mesh.nodes, 5e-6, 7);
    c.x = rest_positions(mesh);
    c.slots.resize(c.block.n_slots());
    c.forces.resize(mesh.nodes.size());
    return c;
}

/// Flops: those of the element and three adds a slot.
void forces(benchmark::State& state) {
    Case c = make_case(static_cast<Index>(state.range(0)), static_cast<int>(state.range(2)),
                       state.range(3) != 0);
    bench::run(state, {tet_flops(c.block) + 30.0, tet_bytes(c.block, c.tiles)}, [&] {
        if (tet_node_forces(c.block, c.tiles, c.x, 1e-7, c.forces, WithEnergy::No) != no_index)
            state.SkipWithError("an element failed");
    });
}

/// No count of flops: an eigenproblem in the middle. Only the rate is meant.
void step_bound(benchmark::State& state) {
    const Case c = make_case(static_cast<Index>(state.range(0)), 0, false);
    bench::run(state, {0.0, 0.0},
               [&] { benchmark::DoNotOptimize(tet_stable_omega(c.block, c.mass, c.x)); });
}

/// Largest difference to the scalar oracle, in parts of the largest force.
double difference_to_oracle(int law) {
    Case c = make_case(384, law, true);
    TetBlock oracle = c.block;
    std::vector<NodeForce> want(c.slots.size());
    if (tet_forces(c.block, c.x, 1e-4, c.slots, WithEnergy::No) != no_index ||
        tet_forces_scalar(oracle, c.x, 1e-4, want, WithEnergy::No) != no_index)
        return HUGE_VAL;
    double largest = 0.0, difference = 0.0;
    for (std::size_t i = 0; i < want.size(); ++i) {
        largest = std::max(largest, std::abs(want[i].x));
        difference = std::max(
            {difference, std::abs(c.slots[i].x - want[i].x), std::abs(c.slots[i].z - want[i].z)});
    }
    return difference / largest;
}

constexpr int cells[] = {6 * 27, 6 * 216, 6 * 1728, 6 * 13824, 6 * 64000};

void force_sizes(benchmark::internal::Benchmark* b) {
    for (const int threads : {1, 2})
        for (const int law : {0, 1, 2, 3, 4})
            for (const int prony : {0, 1})
                for (const int n : cells)
                    b->Args({n, threads, law, prony});
    b->ArgNames({"elements", "threads", "law", "prony"})
        ->UseManualTime()
        ->Unit(benchmark::kMicrosecond);
}

void other_sizes(benchmark::internal::Benchmark* b) {
    for (const int threads : {1, 2})
        for (const int n : cells)
            b->Args({n, threads});
    b->ArgNames({"elements", "threads"})->UseManualTime()->Unit(benchmark::kMicrosecond);
}

BENCHMARK(forces)->Apply(force_sizes);
BENCHMARK(step_bound)->Apply(other_sizes);

} // namespace

int main(int argc, char** argv) {
    for (const int law : {0, 1, 2, 3, 4})
        if (const double difference = difference_to_oracle(law); !(difference < 1e-11)) {
            std::fprintf(stderr, "tet_bench: law %d differs from the scalar oracle by %g\n", law,
                         difference);
            return 1;
        }
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv))
        return 2;
    for (const int threads : {1, 2}) {
        const bench::MachineLimits& limit = bench::limits(threads);
        std::printf("limits, %d thread(s): %.1f Gflop/s multiply-add, %.1f GB/s triad\n", threads,
                    limit.flops_per_s * 1e-9, limit.bytes_per_s * 1e-9);
        benchmark::AddCustomContext("flop_per_s_limit_" + std::to_string(threads),
                                    std::to_string(limit.flops_per_s));
        benchmark::AddCustomContext("byte_per_s_limit_" + std::to_string(threads),
                                    std::to_string(limit.bytes_per_s));
    }
    benchmark::RunSpecifiedBenchmarks();
    return 0;
}
