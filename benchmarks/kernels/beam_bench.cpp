// SPDX-License-Identifier: Apache-2.0
// Beam element kernels: element-steps a second, and their share of this machine's multiply-add and
// bandwidth limits. Run: beam_bench --benchmark_out=beam.json --benchmark_out_format=json
#include "benchmarks/kernels/timed_run.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/fibre_block.hpp"
#include "solver/elements/node_gather.hpp"

#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <random>

namespace {

using namespace cellgrade;
using bench::limits;
using bench::run;

/// A row of struts with every node displaced and turned a little.
struct Case {
    BeamBlock block;
    FibreBlock fibres;
    NodeGather gather;
    std::vector<NodePose> poses;
    std::vector<NodeLoad> slots, loads;
};

constexpr double element_length = 1e-3; // [m]

BeamMesh row_of(Index n) {
    BeamMesh mesh;
    mesh.box = Vec3(1.0, 1.0, 1.0);
    for (Index i = 0; i <= n; ++i)
        mesh.nodes.emplace_back(element_length * i, 0.0, 0.0);
    for (Index e = 0; e < n; ++e)
        mesh.elements.push_back({.a = e, .b = e + 1, .radius = 0.3e-3});
    return mesh;
}

std::vector<NodePose> shaken(const BeamMesh& mesh) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> part(-0.1, 0.1);
    std::vector<NodePose> poses;
    for (const Vec3& x : mesh.nodes) {
        Eigen::Vector4d q(1.0, part(random), part(random), part(random));
        q.normalize();
        poses.push_back({x.x() + element_length * part(random),
                         x.y() + element_length * part(random),
                         x.z() + element_length * part(random), q[0], q[1], q[2], q[3]});
    }
    return poses;
}

/// Incompressible neo-Hookean, P = E/3 (l - 1/l^2), knots as close as the program's tables.
UniaxialTable neo_hookean_table(double youngs) {
    UniaxialTable table{.stretch_min = 0.2, .stretch_step = 0.002};
    for (int i = 0; i <= 1900; ++i) {
        const double l = 0.2 + 0.002 * i;
        table.stress_Pa.push_back(youngs / 3.0 * (l - 1.0 / (l * l)));
        table.slope_Pa.push_back(youngs / 3.0 * (1.0 + 2.0 / (l * l * l)));
        table.energy_J_per_m3.push_back(youngs / 6.0 * (l * l + 2.0 / l - 3.0));
    }
    return table;
}

const std::vector<PronyTerm> three_terms = {
    {.share = 0.2, .time_s = 1e-3}, {.share = 0.15, .time_s = 1e-2}, {.share = 0.1, .time_s = 0.1}};

Case make_case(Index n) {
    const BeamMesh mesh = row_of(n);
    Case c;
    c.block = make_beam_block(mesh, section_moduli(12e6, 0.45));
    c.fibres = make_fibre_block(mesh, section_moduli(12e6, 0.45), neo_hookean_table(12e6),
                                three_terms, DiscRule::Twelve);
    c.gather = make_node_gather(c.block);
    c.poses = shaken(mesh);
    c.slots.resize(c.block.n_slots());
    c.loads.resize(mesh.nodes.size());
    return c;
}

void resultants(benchmark::State& state) {
    Case c = make_case(static_cast<Index>(state.range(0)));
    const Vec3 box(1.0, 1.0, 1.0);
    run(state, {beam_flops, beam_bytes}, [&] {
        if (beam_forces(c.block, c.poses, box, 0.0, c.slots, WithEnergy::No) != no_index)
            state.SkipWithError("an element failed");
    });
}

/// Twelve fibres, three Prony terms.
void fibres(benchmark::State& state) {
    Case c = make_case(static_cast<Index>(state.range(0)));
    const Vec3 box(1.0, 1.0, 1.0);
    run(state, {fibre_flops(c.fibres), fibre_bytes(c.fibres)}, [&] {
        if (beam_forces(c.fibres, c.poses, box, 1e-6, c.slots, WithEnergy::No) != no_index)
            state.SkipWithError("an element failed");
    });
}

void gather(benchmark::State& state) {
    Case c = make_case(static_cast<Index>(state.range(0)));
    // two slots, one node, two slot numbers, one start
    run(state, {12.0, 204.0}, [&] { gather_loads(c.gather, c.slots, c.loads); });
}

/// Largest difference to the scalar oracle, in parts of the largest load.
template <class Block>
double difference_to_oracle(Block block, const std::vector<NodePose>& poses) {
    Block oracle = block;
    const Vec3 box(1.0, 1.0, 1.0);
    std::vector<NodeLoad> got(block.n_slots()), want(block.n_slots());
    if (beam_forces(block, poses, box, 1e-4, got, WithEnergy::No) != no_index ||
        beam_forces_scalar(oracle, poses, box, 1e-4, want, WithEnergy::No) != no_index)
        return HUGE_VAL;
    double largest = 0.0, difference = 0.0;
    for (std::size_t i = 0; i < got.size(); ++i) {
        const NodeLoad &g = got[i], &w = want[i];
        largest = std::max(largest, std::abs(w.fx));
        difference = std::max({difference, std::abs(g.fx - w.fx), std::abs(g.fy - w.fy),
                               std::abs(g.mz - w.mz) / element_length});
    }
    return difference / largest;
}

void sizes(benchmark::internal::Benchmark* b) {
    for (const int threads : {1, 2})
        for (const int n : {64, 512, 2048, 8192, 65536, 524288})
            b->Args({n, threads});
    b->ArgNames({"elements", "threads"})->UseManualTime()->Unit(benchmark::kMicrosecond);
}

BENCHMARK(resultants)->Apply(sizes);
BENCHMARK(fibres)->Apply(sizes);
BENCHMARK(gather)->Apply(sizes);

} // namespace

int main(int argc, char** argv) {
    const Case c = make_case(1003);
    const double difference =
        std::max(difference_to_oracle(c.block, c.poses), difference_to_oracle(c.fibres, c.poses));
    if (!(difference < 1e-12)) {
        std::fprintf(stderr, "beam_bench: loads differ from the scalar oracle by %g\n", difference);
        return 1;
    }
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv))
        return 2;
    for (const int threads : {1, 2}) {
        const bench::MachineLimits& limit = limits(threads);
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
