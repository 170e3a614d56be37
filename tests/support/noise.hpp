// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <numbers>
#include <random>

namespace cellgrade::test {

/// Normal deviates by Box & Muller (1958) from a generator fixed by the standard: the same for a
/// seed on every system.
class Noise {
public:
    explicit Noise(unsigned seed) {
        std::seed_seq words{seed}; // neighbouring seeds alone start alike
        random_.seed(words);
    }
    double operator()() {
        const double u = uniform(), v = uniform();
        return std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * std::numbers::pi * v);
    }

private:
    double uniform() { return (static_cast<double>(random_()) + 0.5) / 4294967296.0; }
    std::mt19937 random_;
};

} // namespace cellgrade::test
