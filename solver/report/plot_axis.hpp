// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace cellgrade {

enum class AxisScale { Linear, Log };

/// A tick of an axis: where, and what stands there.
struct Tick {
    double value;
    std::string label;
};

/// One axis of a picture: a range of values laid over a range of pixels.
struct PlotAxis {
    AxisScale scale = AxisScale::Linear;
    double low = 0.0, high = 1.0;

    /// Share of the way from low (0) to high (1); outside for values outside. Log: value > 0.
    [[nodiscard]] double share(double value) const;
};

/// Ticks at multiples of 1, 2 or 5 times a power of ten, about `wanted` of them, inside the range;
/// for a log axis at powers of ten, with 2 and 5 between them when there are fewer than three.
[[nodiscard]] std::vector<Tick> axis_ticks(const PlotAxis& axis, int wanted);

/// The smallest linear range from 0 whose end is a tick and holds `largest` (> 0).
[[nodiscard]] PlotAxis axis_from_zero(double largest, int wanted);

/// The same with room below 0: both ends are ticks and hold `smallest` and `largest` (> 0). A
/// `smallest` above -2 % of `largest` counts as 0: noise about rest opens no lower half.
[[nodiscard]] PlotAxis axis_about_zero(double smallest, double largest, int wanted);

/// A log range whose ends are 1, 2 or 5 times a power of ten around `smallest` .. `largest`, both
/// above 0.
[[nodiscard]] PlotAxis log_axis(double smallest, double largest);

} // namespace cellgrade
