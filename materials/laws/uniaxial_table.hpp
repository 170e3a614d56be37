// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/registry.hpp"

#include <vector>

namespace cellgrade {

/// Uniaxial-stress answer of a law on uniform stretch knots, what a beam fibre sees.
///
/// Nominal stress is a cubic Hermite spline through exact values and slopes (C1); the energy is the
/// exact integral of that spline, zero at stretch 1, so the force of an element made of it is the
/// gradient of its energy to round-off. Past the ends stress goes on linearly, energy as a
/// parabola.
struct UniaxialTable {
    double stretch_min = 0.0;
    double stretch_step = 0.0;
    std::vector<double> stress_Pa;       ///< nominal (force / initial area), tension positive
    std::vector<double> slope_Pa;        ///< d stress / d stretch
    std::vector<double> energy_J_per_m3; ///< per reference volume

    [[nodiscard]] double stretch_max() const {
        return stretch_min + stretch_step * static_cast<double>(stress_Pa.size() - 1);
    }
};

struct UniaxialPoint {
    double stress_Pa;
    double slope_Pa;
    double energy_J_per_m3;
};

/// Stress, slope and energy at any stretch. The table has at least two knots. A NaN stretch gives
/// NaN. No allocation; about 30 flops.
[[nodiscard]] inline UniaxialPoint evaluate(const UniaxialTable& table, double stretch) noexcept {
    const double x = (stretch - table.stretch_min) / table.stretch_step;
    const auto last = table.stress_Pa.size() - 1;
    if (!(x > 0.0) || x >= static_cast<double>(last)) {
        const std::size_t end = x > 0.0 ? last : 0;
        const double edge = table.stretch_min + table.stretch_step * static_cast<double>(end);
        const double d = stretch - edge, P = table.stress_Pa[end], m = table.slope_Pa[end];
        return {P + m * d, m, table.energy_J_per_m3[end] + d * (P + 0.5 * m * d)};
    }
    const auto i = static_cast<std::size_t>(x);
    const double h = table.stretch_step, t = x - static_cast<double>(i);
    const double P0 = table.stress_Pa[i], m0 = h * table.slope_Pa[i];
    const double m1 = h * table.slope_Pa[i + 1], rise = table.stress_Pa[i + 1] - P0;
    const double c = 3.0 * rise - 2.0 * m0 - m1, d = m0 + m1 - 2.0 * rise;
    return {P0 + t * (m0 + t * (c + t * d)), (m0 + t * (2.0 * c + t * 3.0 * d)) / h,
            table.energy_J_per_m3[i] + h * t * (P0 + t * (m0 / 2.0 + t * (c / 3.0 + t * d / 4.0)))};
}

/// Table of the law's instantaneous answer, P(stretch) with free sides.
///
/// At each knot the lateral stretch that makes the lateral stress zero is found by a bracketed
/// Newton iteration; slopes are five-point differences of the solved curve (relative error ~
/// 1e-11). Stretch 1 is a knot. The step is at most (stretch_max - stretch_min)/(knots - 1). The
/// interpolation error of a cell is h^4/384 max|P''''|, and next to the knot at 1 relative to P it
/// is at most (4/27) h^3 |P''''| / (24 E): a neo-Hookean solid has |P''''| = 40 E there, so 2001
/// knots over 0.2..4 (h = 0.0019) leave 1.7e-9. The table ends early where the law has no lateral
/// equilibrium (a linear solid at stretch 1 + 1/nu); stretch_max() tells.
/// @param stretch_min, stretch_max   0 < stretch_min < 1 < stretch_max
/// @throws Error for a range that does not hold 1, or fewer than 5 knots
[[nodiscard]] UniaxialTable make_uniaxial_table(const AnyLaw& law,
                                                double stretch_min = 0.2,
                                                double stretch_max = 4.0,
                                                int knots = 2001);

struct StretchRange {
    double min;
    double max;
};

/// Largest range of stretch around 1 in which the slope is positive, within the table; a fibre is
/// stable there under force control.
[[nodiscard]] StretchRange stable_range(const UniaxialTable& table);

/// Stretch across the axis that leaves the sides free of stress; NaN when there is none.
[[nodiscard]] double free_lateral_stretch(const AnyLaw& law, double stretch);

} // namespace cellgrade
