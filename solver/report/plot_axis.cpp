// SPDX-License-Identifier: Apache-2.0
#include "solver/report/plot_axis.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace cellgrade {

namespace {

constexpr std::array<double, 3> round_numbers{1.0, 2.0, 5.0};

/// Exact up to 1e22, which std::pow does not promise; ticks are the same on every system.
double power_of_ten(int exponent) {
    double value = 1.0;
    for (int i = 0; i < std::abs(exponent); ++i)
        value *= 10.0;
    return exponent < 0 ? 1.0 / value : value;
}

double round_step(double range, int wanted) {
    const double rough = range / wanted;
    const int exponent = static_cast<int>(std::floor(std::log10(rough)));
    for (const double number : round_numbers)
        if (number * power_of_ten(exponent) >= rough * (1.0 - 1e-9))
            return number * power_of_ten(exponent);
    return power_of_ten(exponent + 1);
}

/// Decimals that tell neighbours at distance `step` apart.
std::string step_label(double value, double step) {
    const int decimals = std::max(0, -static_cast<int>(std::floor(std::log10(step) + 1e-9)));
    return fmt::format("{:.{}f}", value, decimals);
}

/// All 1-2-5 numbers (or powers of ten alone) from low to high.
std::vector<Tick> log_ticks(double low, double high, bool powers_only) {
    std::vector<Tick> ticks;
    const int first = static_cast<int>(std::floor(std::log10(low))) - 1;
    const int last = static_cast<int>(std::ceil(std::log10(high))) + 1;
    for (int exponent = first; exponent <= last; ++exponent)
        for (const double number : round_numbers) {
            const double value = number * power_of_ten(exponent);
            const bool inside = value >= low * (1.0 - 1e-9) && value <= high * (1.0 + 1e-9);
            if (inside && (number < 1.5 || !powers_only))
                ticks.push_back({value, fmt::format("{:.6g}", value)});
        }
    return ticks;
}

} // namespace

double PlotAxis::share(double value) const {
    if (scale == AxisScale::Linear)
        return (value - low) / (high - low);
    return std::log(value / low) / std::log(high / low);
}

std::vector<Tick> axis_ticks(const PlotAxis& axis, int wanted) {
    if (axis.scale == AxisScale::Log) {
        std::vector<Tick> powers = log_ticks(axis.low, axis.high, true);
        return powers.size() >= 3 ? powers : log_ticks(axis.low, axis.high, false);
    }
    const double step = round_step(axis.high - axis.low, wanted);
    std::vector<Tick> ticks;
    const auto first = static_cast<int>(std::ceil(axis.low / step - 1e-9));
    const auto last = static_cast<int>(std::floor(axis.high / step + 1e-9));
    for (int i = first; i <= last; ++i)
        ticks.push_back({i * step, step_label(i * step, step)});
    return ticks;
}

PlotAxis axis_from_zero(double largest, int wanted) {
    const double step = round_step(largest, wanted);
    return {.low = 0.0, .high = step * std::ceil(largest / step - 1e-9)};
}

PlotAxis axis_about_zero(double smallest, double largest, int wanted) {
    if (smallest > -0.02 * largest)
        return axis_from_zero(largest, wanted);
    const double step = round_step(largest - smallest, wanted);
    return {.low = step * std::floor(smallest / step + 1e-9),
            .high = step * std::ceil(largest / step - 1e-9)};
}

PlotAxis log_axis(double smallest, double largest) {
    const std::vector<Tick> around = log_ticks(smallest / 10.0, largest * 10.0, false);
    PlotAxis axis{.scale = AxisScale::Log, .low = smallest, .high = largest};
    for (const Tick& tick : around)
        if (tick.value <= smallest * (1.0 + 1e-9))
            axis.low = tick.value;
    for (auto tick = around.rbegin(); tick != around.rend(); ++tick)
        if (tick->value >= largest * (1.0 - 1e-9))
            axis.high = tick->value;
    return axis;
}

} // namespace cellgrade
