// SPDX-License-Identifier: Apache-2.0
// Self-contact of a pressed stack of rods: cost of a step in touch, of a list rebuild and of a
// platen step, against the number of elements and threads. Every case checks its result first.
// Run: contact_bench --benchmark_repetitions=10 --benchmark_report_aggregates_only=true
#include "solver/contact/platen_contact.hpp"
#include "solver/contact/strut_contact.hpp"

#include <benchmark/benchmark.h>

#include <omp.h>

#include <cmath>
#include <numbers>
#include <vector>

namespace {

using namespace cellgrade;

constexpr double radius = 0.5e-3, modulus = 20e6, density = 1100.0; // an invented soft polymer

// Layers of parallel rods, turned a right angle from layer to layer, periodic along x and y. In the
// reference shape the layers are 1.02 diameters apart, in the pressed pose 0.98.
struct Stack {
    BeamMesh mesh;
    std::vector<double> mass;
    std::vector<NodePose> pressed;
    std::vector<NodeRate> rate;
    std::vector<NodeLoad> load;

    explicit Stack(Index n_elements) {
        // Each layer: n rods of 2 n elements one diameter long, rods two diameters apart; n layers.
        const auto n = static_cast<Index>(std::lround(std::cbrt(0.5 * n_elements)));
        const double l = 2.0 * radius;
        mesh.box = Vec3(2.0 * n * l, 2.0 * n * l, 1.02 * n * l);
        mesh.periodic = {true, true, false};
        for (Index layer = 0; layer < n; ++layer)
            for (Index rod = 0; rod < n; ++rod)
                add_rod(layer, rod, n);
        mass.assign(mesh.nodes.size(), density * std::numbers::pi * radius * radius * l);
        for (const Vec3& x : mesh.nodes)
            pressed.push_back({.x = x.x(), .y = x.y(), .z = x.z() * 0.98 / 1.02});
        rate.resize(mesh.nodes.size());
        for (std::size_t i = 0; i < rate.size(); ++i)
            rate[i] = {.vx = i % 3 == 0 ? 0.2 : 0.0, .vy = i % 5 == 0 ? -0.1 : 0.0};
        load.resize(mesh.nodes.size());
    }

    void add_rod(Index layer, Index rod, Index n) {
        const double l = 2.0 * radius;
        const auto first = static_cast<Index>(mesh.nodes.size());
        for (Index k = 0; k < 2 * n; ++k) {
            const double along = (k + 0.25) * l, across = (2.0 * rod + 0.5) * l;
            const double z = 1.02 * (layer + 0.5) * l;
            mesh.nodes.push_back(layer % 2 == 0 ? Vec3(along, across, z) : Vec3(across, along, z));
            const Index wraps = k + 1 == 2 * n ? 1 : 0;
            mesh.elements.push_back(
                {.a = first + k,
                 .b = wraps == 0 ? first + k + 1 : first,
                 .image_b = layer % 2 == 0 ? Vec3i(wraps, 0, 0) : Vec3i(0, wraps, 0),
                 .radius = radius,
                 .strut = layer * n + rod});
        }
        mesh.is_joint.resize(mesh.nodes.size(), false);
    }
    [[nodiscard]] ContactSettings settings() const {
        return {.modulus = modulus, .poisson = 0.48, .friction = 0.3, .reference_step = 4e-6};
    }
    void step(StrutContact& contact) { contact.add_loads(pressed, rate, mesh.box, 1e-8, load); }
};

bool stack_is_right(const StrutContact& contact, const Stack& stack) {
    // Every rod crosses every rod of the next layer: n^2 (n - 1) crossings, one or two pairs each.
    const double n = std::cbrt(0.5 * static_cast<double>(stack.mesh.elements.size()));
    const double crossings = n * n * (n - 1.0);
    Vec3 sum = Vec3::Zero();
    double size = 0.0;
    for (const NodeLoad& l : stack.load) {
        sum += Vec3(l.fx, l.fy, l.fz);
        size += Vec3(l.fx, l.fy, l.fz).norm();
    }
    return contact.report().n_touching >= crossings - 0.5 &&
           contact.report().n_touching <= 4.0 * crossings && sum.norm() < 1e-11 * size;
}

void touching_step(benchmark::State& state) {
    Stack stack(static_cast<Index>(state.range(0)));
    omp_set_num_threads(static_cast<int>(state.range(1)));
    StrutContact contact(stack.mesh, stack.mass, stack.settings());
    stack.step(contact);
    if (!stack_is_right(contact, stack)) {
        state.SkipWithError("contact of the stack is wrong");
        return;
    }
    for (auto _ : state)
        stack.step(contact);
    const auto n = static_cast<double>(stack.mesh.elements.size());
    state.counters["elements"] = n;
    state.counters["pairs_per_element"] = contact.report().n_candidates / n;
    state.counters["touching_per_element"] = contact.report().n_touching / n;
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(n));
}

void list_rebuild(benchmark::State& state) {
    Stack stack(static_cast<Index>(state.range(0)));
    omp_set_num_threads(static_cast<int>(state.range(1)));
    StrutContact contact(stack.mesh, stack.mass, stack.settings());
    const ContactState saved = contact.save(); // restoring it is one rebuild and little else
    for (auto _ : state)
        contact.restore(saved);
    stack.step(contact);
    if (!stack_is_right(contact, stack))
        state.SkipWithError("contact of the stack is wrong");
    state.SetItemsProcessed(state.iterations() *
                            static_cast<std::int64_t>(stack.mesh.elements.size()));
}

void platen_step(benchmark::State& state) {
    Stack stack(static_cast<Index>(state.range(0)));
    omp_set_num_threads(static_cast<int>(state.range(1)));
    PlatenContact platens(stack.mesh, stack.mass,
                          {lower_platen(stack.mesh), upper_platen(stack.mesh)}, stack.settings());
    const std::vector<PlaneMotion> motion = {{.position = 0.02 * radius},
                                             {.position = stack.mesh.box.z()}};
    for (auto _ : state)
        platens.add_loads(stack.pressed, stack.rate, motion, 1e-8, stack.load);
    if (platens.report()[0].n_touching == 0)
        state.SkipWithError("the platen does not touch");
    state.SetItemsProcessed(state.iterations() *
                            static_cast<std::int64_t>(stack.mesh.nodes.size()));
}

void sizes(benchmark::internal::Benchmark* bench) {
    for (const int threads : {1, 2})
        for (const int n : {1'000, 10'000, 100'000})
            bench->Args({n, threads});
    bench->ArgNames({"n", "threads"})->UseRealTime();
}

BENCHMARK(touching_step)->Apply(sizes);
BENCHMARK(list_rebuild)->Apply(sizes);
BENCHMARK(platen_step)->Apply(sizes);

} // namespace

BENCHMARK_MAIN();
