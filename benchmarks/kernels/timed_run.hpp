// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "benchmarks/kernels/machine_limits.hpp"

#include <benchmark/benchmark.h>

#include <map>

/// How every kernel benchmark times and reports.
namespace cellgrade::bench {

inline const MachineLimits& limits(int threads) {
    static std::map<int, MachineLimits> known;
    const auto [at, is_new] = known.try_emplace(threads);
    if (is_new)
        at->second = measure_machine_limits(threads);
    return at->second;
}

/// Hand counts of one element-step.
struct Cost {
    double flops;
    double bytes;
};

/// Times slices of at least 16384 element-steps (0.1 ms; the clock itself costs 1 us here) and
/// reports the median slice, the best one and the spread between the quartiles: other work on the
/// machine moves the median, hardly the best. Shares of the limits are those of the best slice, as
/// the limits are best runs too.
template <class Call>
void run(benchmark::State& state, Cost cost, Call&& call) {
    const auto n = static_cast<double>(state.range(0));
    const auto threads = static_cast<int>(state.range(1));
    omp_set_num_threads(threads);
    const int calls = std::max(1, static_cast<int>(16384.0 / n));
    std::vector<double> seconds;
    for (auto _ : state) {
        seconds.push_back(detail::seconds_of([&] {
                              for (int i = 0; i < calls; ++i)
                                  call();
                              benchmark::ClobberMemory();
                          }) /
                          calls);
        state.SetIterationTime(seconds.back());
    }
    std::sort(seconds.begin(), seconds.end());
    const auto at = [&](double part) {
        return seconds[static_cast<std::size_t>(part * static_cast<double>(seconds.size() - 1))];
    };
    const double best = seconds.front();
    const MachineLimits& limit = limits(threads);
    state.counters["median_per_s"] = n / at(0.5);
    state.counters["spread"] = (at(0.75) - at(0.25)) / at(0.5);
    state.counters["best_per_s"] = n / best;
    state.counters["best_flop_per_s"] = n * cost.flops / best;
    state.counters["best_byte_per_s"] = n * cost.bytes / best;
    state.counters["of_flops"] = n * cost.flops / best / limit.flops_per_s;
    state.counters["of_triad"] = n * cost.bytes / best / limit.bytes_per_s;
    // of what the counted flops and bytes allow, were every byte from memory
    state.counters["of_roofline"] =
        n / best * std::max(cost.flops / limit.flops_per_s, cost.bytes / limit.bytes_per_s);
}

} // namespace cellgrade::bench
