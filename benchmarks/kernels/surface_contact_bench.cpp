// SPDX-License-Identifier: Apache-2.0
// Self-contact of a pressed pile of walls, each in touch with both neighbours all over, as at
// densification, and of the same pile with open gaps: cost of a step and of a list rebuild against
// the number of surface vertices and threads. Every case checks its result first.
// Run: surface_contact_bench --benchmark_repetitions=10 --benchmark_report_aggregates_only=true
#include "solver/contact/surface_contact.hpp"
#include "tests/support/sheet_mesh.hpp"

#include <benchmark/benchmark.h>

#include <omp.h>

#include <cmath>
#include <vector>

namespace {

using namespace cellgrade;

constexpr double element = 0.1e-3, wall = 0.2e-3, density = 1100.0; // an invented soft polymer

// n / 4 sheets of n x n elements, endless along x and y, shifted against each other; two sheets are
// a wall. Walls are 0.5 elements apart in the reference shape, half a layer in the pressed pose.
struct Pile {
    TetMesh mesh;
    std::vector<double> mass;
    std::vector<NodePose> open, pressed;
    std::vector<NodeRate> rate;
    std::vector<NodeLoad> load;
    Index n_sheets = 0;

    explicit Pile(Index n_vertices) {
        // 4 n^2 vertices a sheet
        const auto n = static_cast<Index>(std::lround(std::cbrt(n_vertices)));
        n_sheets = std::max<Index>(4, n / 8 * 2);
        mesh.box = Vec3(n * element, n * element, height(n_sheets, 0.5 * element));
        mesh.periodic = {true, true, false};
        for (Index k = 0; k < n_sheets; ++k)
            add_sheet(k, n);
        mass.assign(mesh.nodes.size(), density * 0.25 * element * element * 0.5 * wall);
        const double edge = element * (4.0 + 2.0 * std::sqrt(2.0)) / 12.0;
        const double gap = 0.5 * settings().layer_share * edge;
        const auto per_sheet = static_cast<Index>(mesh.nodes.size()) / n_sheets;
        for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
            const Vec3& x = mesh.nodes[i];
            open.push_back({.x = x.x(), .y = x.y(), .z = x.z()});
            const Index sheet = static_cast<Index>(i) / per_sheet;
            pressed.push_back({.x = x.x(), .y = x.y(), .z = height(sheet, gap)});
        }
        rate.resize(mesh.nodes.size());
        for (std::size_t i = 0; i < rate.size(); ++i)
            rate[i] = {.vx = i % 3 == 0 ? 0.2 : 0.0, .vy = i % 5 == 0 ? -0.1 : 0.0};
        load.resize(mesh.nodes.size());
    }

    static double height(Index sheet, double gap) { // odd gaps are open, even ones walls
        return sheet / 2 * (wall + gap) + sheet % 2 * wall;
    }
    void add_sheet(Index k, Index n) {
        const auto first = static_cast<Index>(mesh.nodes.size());
        const Index m = 2 * n + 1;
        for (Index j = 0; j < m; ++j)
            for (Index i = 0; i < m; ++i) {
                // A made-up unevenness, so that edges cross at all angles.
                const double phase = 12.9 * (i % (2 * n)) + 78.2 * (j % (2 * n)) + 37.7 * k;
                const double x = 0.5 * i + 0.37 * k + 0.12 * std::sin(phase);
                const double y = 0.5 * j + 0.61 * k + 0.12 * std::sin(3.1 * phase);
                mesh.nodes.push_back({x * element, y * element, height(k, 0.5 * element)});
                if (i == 2 * n || j == 2 * n)
                    mesh.copies.push_back({.node = first + i + j * m,
                                           .original = first + i % (2 * n) + j % (2 * n) * m,
                                           .image = Vec3i(i / (2 * n), j / (2 * n), 0)});
            }
        test::add_sheet_faces(mesh, first, n, n);
    }
    [[nodiscard]] static ContactSettings settings() {
        return {.modulus = 20e6, .poisson = 0.48, .friction = 0.3, .reference_step = 5e-8};
    }
    void step(SurfaceContact& contact, const std::vector<NodePose>& pose) {
        contact.add_loads(pose, rate, mesh.box, 1e-9, load);
    }
};

// Both sides of each gap press alike; (2 + 6.6) 1.4 / 2 = 6 pairs for each vertex on a gap of even
// triangles (contact_layer.hpp), half as many again with these uneven ones.
bool pile_is_right(const SurfaceContact& contact, const Pile& pile) {
    Vec3 sum = Vec3::Zero();
    double size = 0.0;
    for (const NodeLoad& l : pile.load) {
        sum += Vec3(l.fx, l.fy, l.fz);
        size += Vec3(l.fx, l.fy, l.fz).norm();
    }
    const double gaps = static_cast<double>(pile.n_sheets - 2) / pile.n_sheets;
    const double per_vertex = contact.report().n_touching / (gaps * contact.surface().n_vertices());
    return per_vertex > 6.0 && per_vertex < 13.0 && sum.norm() < 1e-10 * size;
}

void count(benchmark::State& state, const SurfaceContact& contact) {
    const double n = contact.surface().n_vertices();
    state.counters["vertices"] = n;
    state.counters["pairs_per_vertex"] = contact.report().n_candidates / n;
    state.counters["touching_per_vertex"] = contact.report().n_touching / n;
    state.SetItemsProcessed(state.iterations() * contact.surface().n_vertices());
}

void touching_step(benchmark::State& state) {
    Pile pile(static_cast<Index>(state.range(0)));
    omp_set_num_threads(static_cast<int>(state.range(1)));
    SurfaceContact contact(pile.mesh, pile.mass, Pile::settings());
    pile.step(contact, pile.pressed);
    if (!pile_is_right(contact, pile)) {
        state.SkipWithError("contact of the pile is wrong");
        return;
    }
    for (auto _ : state)
        pile.step(contact, pile.pressed);
    count(state, contact);
}

void open_step(benchmark::State& state) {
    Pile pile(static_cast<Index>(state.range(0)));
    omp_set_num_threads(static_cast<int>(state.range(1)));
    SurfaceContact contact(pile.mesh, pile.mass, Pile::settings());
    for (auto _ : state)
        pile.step(contact, pile.open);
    if (contact.report().n_touching != 0)
        state.SkipWithError("the open pile touches");
    count(state, contact);
}

void list_rebuild(benchmark::State& state) {
    Pile pile(static_cast<Index>(state.range(0)));
    omp_set_num_threads(static_cast<int>(state.range(1)));
    SurfaceContact contact(pile.mesh, pile.mass, Pile::settings());
    pile.step(contact, pile.pressed);
    if (!pile_is_right(contact, pile)) {
        state.SkipWithError("contact of the pile is wrong");
        return;
    }
    const ContactState saved = contact.save(); // restoring it is one rebuild and little else
    for (auto _ : state)
        contact.restore(saved);
    count(state, contact);
}

void sizes(benchmark::internal::Benchmark* bench) {
    for (const int threads : {1, 2})
        for (const int n : {1'000, 10'000, 100'000})
            bench->Args({n, threads});
    bench->ArgNames({"n", "threads"})->UseRealTime();
}

BENCHMARK(touching_step)->Apply(sizes);
BENCHMARK(open_step)->Apply(sizes);
BENCHMARK(list_rebuild)->Apply(sizes);

} // namespace

BENCHMARK_MAIN();
