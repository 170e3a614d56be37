// SPDX-License-Identifier: Apache-2.0
#include "materials/calibration/master_curve.hpp"

#include "materials/calibration/least_squares.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace cellgrade {

namespace {

constexpr double gas_constant = 8.314462618, zero_C_in_K = 273.15;

/// A falling curve: log10 time (rising) against log10 modulus (falling or level).
struct Falling {
    std::vector<double> x, y;

    [[nodiscard]] double top() const { return y.front(); }
    [[nodiscard]] double foot() const { return y.back(); }
    /// log10 time at which the modulus is reached; middle of a level stretch; along the end lines
    /// outside.
    [[nodiscard]] double time_of(double level) const {
        const std::size_t n = y.size();
        if (level > y.front() || level < y.back()) {
            const std::size_t a = level > y.front() ? 0 : n - 3;
            // Line through three readings at that end.
            double mx = 0.0, my = 0.0, xy = 0.0, xx = 0.0;
            for (std::size_t i = a; i < a + 3; ++i) {
                mx += x[i] / 3.0;
                my += y[i] / 3.0;
            }
            for (std::size_t i = a; i < a + 3; ++i) {
                xy += (x[i] - mx) * (y[i] - my);
                xx += (x[i] - mx) * (x[i] - mx);
            }
            const double slope = std::min(xy / xx, -1e-6);
            const double end = level > y.front() ? x.front() : x.back();
            const double at = level > y.front() ? y.front() : y.back();
            return end + (level - at) / slope;
        }
        std::size_t first = 0;
        while (first + 1 < n && y[first + 1] > level)
            ++first;
        std::size_t last = first + 1;
        while (last + 1 < n && y[last] == level && y[last + 1] == level)
            ++last;
        if (last >= n)
            return x.back();
        if (y[last] == level && last > first + 1)
            return 0.5 * (x[first + 1] + x[last]);
        const double drop = y[first] - y[first + 1];
        const double t = drop > 0.0 ? (y[first] - level) / drop : 0.5;
        return x[first] + t * (x[first + 1] - x[first]);
    }
};

/// Pools neighbours that rise into their mean.
Falling falling(const TimeCurve& c) {
    struct Block {
        double sum, count;
    };
    Falling f;
    std::vector<Block> blocks;
    std::vector<std::size_t> order(c.time_s.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return c.time_s[a] < c.time_s[b]; });
    for (const std::size_t i : order) {
        f.x.push_back(std::log10(c.time_s[i]));
        blocks.push_back({std::log10(c.modulus_Pa[i]), 1.0});
        while (blocks.size() > 1 && blocks.back().sum * blocks[blocks.size() - 2].count >
                                        blocks[blocks.size() - 2].sum * blocks.back().count) {
            blocks[blocks.size() - 2].sum += blocks.back().sum;
            blocks[blocks.size() - 2].count += blocks.back().count;
            blocks.pop_back();
        }
    }
    for (const Block& b : blocks)
        f.y.insert(f.y.end(), static_cast<std::size_t>(b.count), b.sum / b.count);
    return f;
}

struct PairShift {
    double decades, overlap;
};

/// log10 a of `b` relative to `a`.
PairShift pair_shift(const Falling& a, const Falling& b) {
    const double high = std::min(a.top(), b.top()), low = std::max(a.foot(), b.foot());
    if (!(high > low)) { // no modulus in common: meet in the middle of the gap
        const double level = 0.5 * (high + low);
        return {b.time_of(level) - a.time_of(level), 0.0};
    }
    constexpr int levels = 400;
    double sum = 0.0;
    for (int i = 0; i < levels; ++i) {
        const double level = low + (high - low) * (i + 0.5) / levels;
        sum += b.time_of(level) - a.time_of(level);
    }
    return {sum / levels, std::abs(a.time_of(low) - a.time_of(high))};
}

TimeCurve reduced(std::span<const TimeCurve> isotherms, const std::vector<double>& log_shift) {
    struct Reading {
        double time, modulus, loss;
    };
    std::vector<Reading> all;
    for (std::size_t c = 0; c < isotherms.size(); ++c)
        for (std::size_t i = 0; i < isotherms[c].time_s.size(); ++i)
            all.push_back({isotherms[c].time_s[i] / std::pow(10.0, log_shift[c]),
                           isotherms[c].modulus_Pa[i],
                           isotherms[c].loss_Pa.empty() ? 0.0 : isotherms[c].loss_Pa[i]});
    std::stable_sort(all.begin(), all.end(),
                     [](const Reading& a, const Reading& b) { return a.time < b.time; });
    TimeCurve curve{.name = "master curve", .kind = isotherms.front().kind};
    for (const Reading& r : all) {
        curve.time_s.push_back(r.time);
        curve.modulus_Pa.push_back(r.modulus);
        if (curve.kind == TimeCurve::Kind::Dynamic)
            curve.loss_Pa.push_back(r.loss);
    }
    return curve;
}

double rms(const Eigen::VectorXd& residual) {
    return std::sqrt(residual.squaredNorm() / static_cast<double>(residual.size()));
}

std::optional<WlfFit> fit_wlf(const std::vector<IsothermShift>& shifts, double reference_C) {
    if (shifts.size() < 4)
        return std::nullopt; // three give two shifts, which two constants always meet
    // c2 must keep the coldest isotherm away from the pole.
    const double coldest = shifts.front().temperature_C - reference_C;
    const double least = std::max(1.0, 1.001 - coldest);
    const std::vector<FitVariable> variables{{.scale = FitVariable::Scale::Log,
                                              .low = 0.1,
                                              .high = 1e4,
                                              .start_low = 2.0,
                                              .start_high = 100.0},
                                             {.scale = FitVariable::Scale::Log,
                                              .low = least,
                                              .high = 1e5,
                                              .start_low = 1.05 * least,
                                              .start_high = std::max(400.0, 2.0 * least)}};
    const auto n = static_cast<Eigen::Index>(shifts.size());
    const Residuals residuals = [&](const Eigen::VectorXd& logs, Eigen::VectorXd& f) {
        for (Eigen::Index i = 0; i < n; ++i) {
            const IsothermShift& s = shifts[static_cast<std::size_t>(i)];
            const double T = s.temperature_C - reference_C;
            f[i] = -std::exp(logs[0]) * T / (std::exp(logs[1]) + T) - s.log10_shift;
        }
    };
    const LeastSquares best = least_squares(variables, residuals, n, 8);
    return WlfFit{std::exp(best.natural[0]), std::exp(best.natural[1]), rms(best.residual)};
}

std::optional<ArrheniusFit> fit_arrhenius(const std::vector<IsothermShift>& shifts,
                                          double reference_C) {
    if (shifts.size() < 3)
        return std::nullopt;
    double xy = 0.0, xx = 0.0;
    Eigen::VectorXd x(static_cast<Eigen::Index>(shifts.size())), y(x.size());
    for (Eigen::Index i = 0; i < x.size(); ++i) {
        const IsothermShift& s = shifts[static_cast<std::size_t>(i)];
        x[i] = (1.0 / (s.temperature_C + zero_C_in_K) - 1.0 / (reference_C + zero_C_in_K)) /
               (gas_constant * std::log(10.0));
        y[i] = s.log10_shift;
        xy += x[i] * y[i];
        xx += x[i] * x[i];
    }
    const double activation = xx > 0.0 ? xy / xx : 0.0;
    return ArrheniusFit{activation, rms(activation * x - y)};
}

} // namespace

MasterCurve master_curve(std::span<const TimeCurve> given, double reference_C) {
    CELLGRADE_CHECK(given.size() >= 2, "a master curve needs two isotherms; {} given",
                    given.size());
    std::vector<TimeCurve> isotherms(given.begin(), given.end());
    for (const TimeCurve& c : isotherms) {
        CELLGRADE_CHECK(c.temperature_C, "{}: no temperature; temperature_C is needed to shift it",
                        c.name);
        CELLGRADE_CHECK(c.kind == isotherms.front().kind,
                        "{}: relaxation and frequency tests cannot be shifted together", c.name);
        CELLGRADE_CHECK(c.time_s.size() >= 3, "{}: {} readings; three an isotherm are needed",
                        c.name, c.time_s.size());
    }
    std::stable_sort(isotherms.begin(), isotherms.end(), [](const auto& a, const auto& b) {
        return *a.temperature_C < *b.temperature_C;
    });
    const auto nearest = std::min_element(isotherms.begin(), isotherms.end(),
                                          [&](const TimeCurve& a, const TimeCurve& b) {
                                              return std::abs(*a.temperature_C - reference_C) <
                                                     std::abs(*b.temperature_C - reference_C);
                                          });
    const auto reference = static_cast<std::size_t>(nearest - isotherms.begin());
    std::vector<double> shift(isotherms.size(), 0.0);
    MasterCurve master{.reference_C = *nearest->temperature_C};
    std::vector<double> overlap(isotherms.size(), 0.0);
    for (std::size_t i = 1; i < isotherms.size(); ++i) {
        const PairShift p = pair_shift(falling(isotherms[i - 1]), falling(isotherms[i]));
        shift[i] = shift[i - 1] + p.decades;
        overlap[i] = p.overlap;
        if (p.overlap == 0.0)
            master.notes.push_back(fmt::format(
                "isotherms at {:.4g} and {:.4g} C share no modulus: their shift is extrapolated",
                *isotherms[i - 1].temperature_C, *isotherms[i].temperature_C));
    }
    const double zero = shift[reference];
    for (std::size_t i = 0; i < shift.size(); ++i) {
        shift[i] -= zero;
        const std::size_t towards = i <= reference ? std::min(i + 1, shift.size() - 1) : i;
        master.shifts.push_back({*isotherms[i].temperature_C, shift[i], overlap[towards]});
    }
    master.curve = reduced(isotherms, shift);
    master.curve.temperature_C = master.reference_C;
    master.wlf = fit_wlf(master.shifts, master.reference_C);
    master.arrhenius = fit_arrhenius(master.shifts, master.reference_C);
    return master;
}

} // namespace cellgrade
