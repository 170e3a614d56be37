// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"

#include <omp.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstddef>
#include <vector>

/// What this machine can do, measured in the same run as the kernels it is compared with.
namespace cellgrade::bench {

struct MachineLimits {
    int threads = 1;
    double flops_per_s = 0.0; ///< multiply-adds from registers, 2 flops each [1/s]
    double bytes_per_s = 0.0; ///< triad a = b + s c far past the caches, 24 B a row [B/s]
};

namespace detail {

template <class Work>
[[nodiscard]] inline double seconds_of(Work&& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// Twelve chains side by side: enough to hide the latency of a multiply-add (4 cycles, 2 a cycle on
/// the machines we know), few enough for 16 registers.
inline double multiply_add_chains(long long steps) {
    constexpr std::size_t n = 12;
    std::array<Pack, n> chain;
    for (std::size_t i = 0; i < n; ++i)
        chain[i] = Pack(1.0 + 0.01 * static_cast<double>(i));
    Pack factor(0.999999), term(1e-6);
    asm volatile("" : "+m"(factor), "+m"(term)); // keep the compiler from knowing them
    const Pack a = factor, b = term;
    for (long long step = 0; step < steps; ++step)
        for (std::size_t i = 0; i < n; ++i)
            chain[i] = chain[i] * a + b;
    Pack sum(0.0);
    for (const Pack& c : chain)
        sum += c;
    return std::experimental::reduce(sum);
}

} // namespace detail

/// Best of `repeats` runs of about 10 ms on `threads` threads.
[[nodiscard]] inline double measure_multiply_add_limit(int threads, int repeats = 15) {
    constexpr long long steps = 2'000'000;
    double best = 1e300, keep = 0.0;
    for (int r = 0; r < repeats; ++r)
        best = std::min(best, detail::seconds_of([&] {
#pragma omp parallel num_threads(threads) reduction(+ : keep)
                            keep += detail::multiply_add_chains(steps);
                        }));
    const double flops = 2.0 * 12.0 * lanes_of<Pack> * static_cast<double>(steps) * threads;
    return keep > 0.0 ? flops / best : 0.0;
}

/// Best of `repeats` sweeps over three arrays of 64 MiB, STREAM's count: 24 B a row, the reading of
/// the written line before it is written left out.
[[nodiscard]] inline double measure_triad_limit(int threads, int repeats = 10) {
    constexpr std::ptrdiff_t n = std::ptrdiff_t{1} << 23;
    std::vector<double> a(n, 0.0), b(n, 1.0), c(n, 2.0);
    double best = 1e300;
    for (int r = 0; r < repeats; ++r)
        best = std::min(best, detail::seconds_of([&] {
                            const double s = 1.0 + 1e-9 * r;
#pragma omp parallel for schedule(static) num_threads(threads)
                            for (std::ptrdiff_t i = 0; i < n; ++i)
                                a[i] = b[i] + s * c[i];
                        }));
    return a[n / 2] > 0.0 ? 24.0 * static_cast<double>(n) / best : 0.0;
}

[[nodiscard]] inline MachineLimits measure_machine_limits(int threads) {
    return {.threads = threads,
            .flops_per_s = measure_multiply_add_limit(threads),
            .bytes_per_s = measure_triad_limit(threads)};
}

} // namespace cellgrade::bench
