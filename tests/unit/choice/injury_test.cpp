// SPDX-License-Identifier: Apache-2.0
#include "solver/choice/injury.hpp"

#include "tests/support/compare.hpp"
#include "tests/support/scratch.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

using namespace cellgrade;
using test::message_of;
using test::rel_err;

namespace {

constexpr double no_cap = 10.0; // [s]

/// A shape over 0 to 1, as pulse of `peak` and `duration` in steps of at most `step`.
AccelerationPulse
pulse_of(const std::function<double(double)>& shape, double peak, double duration, double step) {
    AccelerationPulse pulse;
    const int n = static_cast<int>(std::ceil(duration / step - 1e-9));
    for (int i = 0; i <= n; ++i) {
        pulse.time_s.push_back(duration * i / n);
        pulse.acceleration_g.push_back(peak * shape(double(i) / n));
    }
    return pulse;
}

double half_sine(double x) {
    return std::sin(std::numbers::pi * x);
}

double haversine(double x) {
    return 0.5 * (1.0 - std::cos(2.0 * std::numbers::pi * x));
}

AccelerationPulse square(double peak, double duration) {
    return {{0.0, 0.0, duration, duration}, {0.0, peak, peak, 0.0}};
}

AccelerationPulse triangle(double peak, double duration, double skew) {
    return {{0.0, skew * duration, duration}, {0.0, peak, 0.0}};
}

/// A triangle cut into equal steps, so that windows have places to end at.
AccelerationPulse sampled_triangle(double peak, double duration, double skew, double step) {
    return pulse_of([&](double x) { return x < skew ? x / skew : (1.0 - x) / (1.0 - skew); }, peak,
                    duration, step);
}

/// The definition, all pairs of samples.
double by_all_pairs(const AccelerationPulse& p, double cap) {
    std::vector<double> v{0.0};
    for (std::size_t i = 1; i < p.time_s.size(); ++i)
        v.push_back(v.back() + 0.5 * (p.acceleration_g[i - 1] + p.acceleration_g[i]) *
                                   (p.time_s[i] - p.time_s[i - 1]));
    double best = 0.0;
    for (std::size_t i = 0; i < v.size(); ++i)
        for (std::size_t j = i + 1; j < v.size() && p.time_s[j] - p.time_s[i] <= cap * (1 + 1e-9);
             ++j)
            if (v[j] > v[i])
                best = std::max(best, std::pow(v[j] - v[i], 2.5) /
                                          std::pow(p.time_s[j] - p.time_s[i], 1.5));
    return best;
}

} // namespace

// Problem    pulses of peak A and duration T, window free.
// Exact      HIC / (A^2.5 T): half-sine 0.41464565, window 0.67022966 T; triangle of any skew
//            (4/7) (5/7)^2.5 = 0.24640066, window 4 T / 7; haversine 0.30293885, window 0.50759 T;
//            square 1. Severity index / (A^2.5 T): 0.45765586, 2/7, 0.33953055, 1.
// Source     Chou & Nyquist (1974), SAE 740082; re-derived (references H2).
// Tolerance  0.01 ms of 10 ms: chords of the pulse lose (pi/1000)^2/12 ~ 1e-6 of it, 2.5 times that
//            of the criterion; the window ends on samples, so it is met to two of 1000 steps.
TEST_CASE("head injury criterion: closed forms of pulses, window free") {
    const double A = 100.0, T = 0.01, scale = std::pow(A, 2.5) * T, step = 1e-5;
    struct Case {
        AccelerationPulse pulse;
        double hic, window, severity;
    };
    const std::array<Case, 5> cases{{
        {pulse_of(half_sine, A, T, step), 0.41464565, 0.67022966, 0.45765586},
        {sampled_triangle(A, T, 0.5, step), 0.24640066, 4.0 / 7.0, 2.0 / 7.0},
        {sampled_triangle(A, T, 0.2, step), 0.24640066, 4.0 / 7.0, 2.0 / 7.0},
        {pulse_of(haversine, A, T, step), 0.30293885, 0.50759, 0.33953055},
        {square(A, T), 1.0, 1.0, 1.0},
    }};
    for (const Case& c : cases) {
        const HeadInjury found = head_injury_criterion(c.pulse, no_cap);
        CHECK(rel_err(found.value / scale, c.hic) < 1e-5);
        CHECK(std::abs((found.to_s - found.from_s) / T - c.window) < 2.1e-3);
        CHECK(rel_err(severity_index(c.pulse) / scale, c.severity) < 1e-5);
    }
    CHECK(rel_err(severity_index(triangle(A, T, 0.3)) / scale, 2.0 / 7.0) < 1e-12);
}

// Problem    peak and duration as below, windows up to 15 and 36 ms.
// Exact      HIC15 / HIC36 as below (references H6): value(w) = w^-1.5 (integral over w)^2.5.
// Tolerance  0.1 ms sampling: 0.2 % is asked for; chords lose (pi dt / T)^2 / 12 x 2.5, 2e-4 at
//            10 ms, and 60 ms and 30 ms less.
TEST_CASE("head injury criterion: numbers with windows of 15 and 36 ms") {
    struct Row {
        double peak, duration;
        std::array<double, 2> sine, triangle, square; ///< HIC15, HIC36
    };
    const std::array<Row, 4> rows{{
        {100.0, 0.010, {414.646, 414.646}, {246.401, 246.401}, {1000.0, 1000.0}},
        {200.0, 0.010, {2345.59, 2345.59}, {1393.85, 1393.85}, {5656.85, 5656.85}},
        {100.0, 0.030, {1153.663, 1243.937}, {730.709, 739.202}, {1500.0, 3000.0}},
        {80.0, 0.060, {804.944, 1406.837}, {614.945, 846.288}, {858.650, 2060.760}},
    }};
    for (const Row& row : rows)
        for (const int k : {0, 1}) {
            const double window = k == 0 ? hic15_window_s : hic36_window_s;
            const double step = 1e-4, A = row.peak, T = row.duration;
            CHECK(rel_err(head_injury_criterion(pulse_of(half_sine, A, T, step), window).value,
                          row.sine[k]) < 1e-3);
            CHECK(rel_err(head_injury_criterion(sampled_triangle(A, T, 0.5, step), window).value,
                          row.triangle[k]) < 1e-3);
            CHECK(rel_err(head_injury_criterion(square(A, T), window).value, row.square[k]) < 1e-5);
        }
}

// Problem    half-sine whose duration makes HIC 1000 (references H8), 200 g and 300 g.
// Exact      4.263 and 1.547 ms. Tolerance: the four digits of the durations.
TEST_CASE("head injury criterion: duration that reaches 1000") {
    CHECK(rel_err(head_injury_criterion(pulse_of(half_sine, 200.0, 4.263e-3, 1e-6), no_cap).value,
                  1000.0) < 3e-4);
    CHECK(rel_err(head_injury_criterion(pulse_of(half_sine, 300.0, 1.547e-3, 1e-6), no_cap).value,
                  1000.0) < 4e-4);
}

// Problem    ragged pulses of several peaks, some negative.
// Exact      the definition over all pairs of samples; steps divide the windows, so no other
// windows
//            are searched. Tolerance: the search leaves 1e-9, sums round at 1e-12.
TEST_CASE("head injury criterion: the same as all windows of a ragged pulse") {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> any(-20.0, 100.0);
    for (int trial = 0; trial < 20; ++trial) {
        AccelerationPulse pulse;
        double level = 0.0;
        for (int i = 0; i <= 300; ++i) {
            level = 0.8 * level + 0.2 * any(random);
            pulse.time_s.push_back(i * 2.5e-4);
            pulse.acceleration_g.push_back(level * (i % 60 < 40 ? 1.0 : 0.1));
        }
        for (const double window : {0.0025, 0.015, 0.03, no_cap}) {
            const double exact = by_all_pairs(pulse, window);
            CHECK(rel_err(head_injury_criterion(pulse, window).value, exact) < 3e-9);
        }
    }
}

TEST_CASE("injury criteria: nothing of nothing, and refusals in one line") {
    CHECK(head_injury_criterion({}, 0.015).value == 0.0);
    CHECK(head_injury_criterion({{0.0, 1.0}, {0.0, 0.0}}, 0.015).value == 0.0);
    CHECK(head_injury_criterion({{0.0, 1.0}, {-5.0, -5.0}}, 0.015).value == 0.0);
    CHECK(severity_index({{0.0, 1.0}, {-5.0, -5.0}}) == 0.0);
    // a line from -1 to 1 over 2 s: only its second half counts, integral x^2.5 = 2/7
    CHECK(rel_err(severity_index({{0.0, 2.0}, {-1.0, 1.0}}), 2.0 / 7.0) < 1e-12);
    CHECK(message_of([] {
              (void)severity_index({{0.0, 1.0}, {1.0}});
          }) == "a pulse has 2 times but 1 accelerations");
    CHECK(message_of([] {
              (void)head_injury_criterion({{1.0, 0.0}, {1.0, 1.0}}, 0.015);
          }) == "time of a pulse falls at sample 2: 0 s after 1 s");
    CHECK(message_of([] {
              (void)head_injury_criterion({{0.0, NAN}, {1.0, 1.0}}, 0.015);
          }) == "sample 2 of a pulse is not finite");
}
