// SPDX-License-Identifier: Apache-2.0
#include "materials/laws/uniaxial_table.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cellgrade {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

template <class Law>
Mat3 pk1(const Law& law, double axial, double lateral) {
    const Mat3 F = Vec3(axial, lateral, lateral).asDiagonal();
    return law.advance(F, 0.0, {}).P;
}

template <class Law>
double lateral_stress(const Law& law, double axial, double lateral) {
    return pk1(law, axial, lateral)(1, 1);
}

struct Bracket {
    double low, high; ///< lateral stress below 0 (or void closed) at low, above 0 at high
};

// A closed void answers NaN: the sides are too near, which is the compressed end of the bracket.
bool is_low(double stress) {
    return !(stress >= 0.0);
}

template <class Law>
Bracket bracket(const Law& law, double axial) {
    Bracket b{.low = 1.0 / std::sqrt(axial), .high = 1.0 / std::sqrt(axial)};
    while (!is_low(lateral_stress(law, axial, b.low))) {
        b.low *= 0.8;
        if (b.low < 1e-3)
            return {nan, nan};
    }
    while (is_low(lateral_stress(law, axial, b.high))) {
        b.high *= 1.1;
        if (b.high > 1e3)
            return {nan, nan};
    }
    return b;
}

template <class Law>
double solve_lateral(const Law& law, double axial) {
    Bracket b = bracket(law, axial);
    if (std::isnan(b.low))
        return nan;
    double t = 0.5 * (b.low + b.high);
    constexpr double eps = std::numeric_limits<double>::epsilon();
    for (int n = 0; n < 200 && b.high - b.low > 2.0 * eps * t; ++n) {
        const double f = lateral_stress(law, axial, t);
        (is_low(f) ? b.low : b.high) = t;
        const double d = 1e-7 * t;
        const double slope =
            (lateral_stress(law, axial, t + d) - lateral_stress(law, axial, t - d)) / (2.0 * d);
        const double step = -f / slope;
        if (std::abs(step) <= eps * t)
            return t + step;
        // Not inside (NaN included): halve instead.
        const double next = t + step;
        t = next > b.low && next < b.high ? next : 0.5 * (b.low + b.high);
    }
    return t;
}

template <class Law>
double axial_stress(const Law& law, double axial) {
    const double lateral = solve_lateral(law, axial);
    return std::isnan(lateral) ? nan : pk1(law, axial, lateral)(0, 0);
}

// Error ~ d^4/30 P^(5) by truncation and ~ 1e-16/d by round-off: both near 1e-12 of the slope. The
// stencil stays on one side of rest, where a void starts to close and P'' jumps.
template <class Law>
double axial_slope(const Law& law, double axial) {
    const double d = std::min(1e-3 * axial, 0.5 * std::abs(axial - 1.0));
    const double near = axial_stress(law, axial + d) - axial_stress(law, axial - d);
    const double far = axial_stress(law, axial + 2.0 * d) - axial_stress(law, axial - 2.0 * d);
    return (8.0 * near - far) / (12.0 * d);
}

// Exact integral of the Hermite cubic over one cell.
double cell_energy(const UniaxialTable& t, std::size_t i) {
    const double h = t.stretch_step;
    return 0.5 * h * (t.stress_Pa[i] + t.stress_Pa[i + 1]) +
           h * h / 12.0 * (t.slope_Pa[i] - t.slope_Pa[i + 1]);
}

void integrate_from(UniaxialTable& t, std::size_t rest) {
    t.energy_J_per_m3.assign(t.stress_Pa.size(), 0.0);
    for (std::size_t i = rest; i + 1 < t.stress_Pa.size(); ++i)
        t.energy_J_per_m3[i + 1] = t.energy_J_per_m3[i] + cell_energy(t, i);
    for (std::size_t i = rest; i > 0; --i)
        t.energy_J_per_m3[i - 1] = t.energy_J_per_m3[i] - cell_energy(t, i - 1);
}

// The slope in a cell is a parabola: its least value decides.
bool rises(const UniaxialTable& t, std::size_t i) {
    const double h = t.stretch_step, m0 = t.slope_Pa[i], m1 = t.slope_Pa[i + 1];
    const double secant = (t.stress_Pa[i + 1] - t.stress_Pa[i]) / h;
    const double c = 3.0 * secant - 2.0 * m0 - m1, d = m0 + m1 - 2.0 * secant;
    double least = std::min(m0, m1);
    if (d > 0.0) {
        const double s = std::clamp(-c / (3.0 * d), 0.0, 1.0);
        least = std::min(least, m0 + s * (2.0 * c + 3.0 * d * s));
    }
    return least > 0.0;
}

} // namespace

double free_lateral_stretch(const AnyLaw& law, double stretch) {
    return std::visit([&](const auto& l) { return solve_lateral(l, stretch); }, law);
}

UniaxialTable
make_uniaxial_table(const AnyLaw& law, double stretch_min, double stretch_max, int knots) {
    CELLGRADE_CHECK(stretch_min > 0.0 && stretch_min < 1.0 && stretch_max > 1.0 && knots >= 5,
                    "uniaxial table: stretch {:.9g} to {:.9g} with {} knots; a range that holds 1 "
                    "and 5 knots or more are needed",
                    stretch_min, stretch_max, knots);
    check(law);
    const double widest = (stretch_max - stretch_min) / (knots - 1);
    const double below = std::ceil((1.0 - stretch_min) / widest);
    UniaxialTable table{.stretch_min = stretch_min,
                        .stretch_step = (1.0 - stretch_min) / below,
                        .stress_Pa = {},
                        .slope_Pa = {},
                        .energy_J_per_m3 = {}};
    const auto rest = static_cast<std::size_t>(below);
    const auto above =
        static_cast<std::size_t>(std::ceil((stretch_max - 1.0) / table.stretch_step - 1e-9));
    std::visit(
        [&](const auto& l) {
            for (std::size_t i = 0; i <= rest + above; ++i) {
                const double stretch = stretch_min + table.stretch_step * static_cast<double>(i);
                const double P = axial_stress(l, stretch);
                const double slope = i == rest ? l.initial_moduli().E0 : axial_slope(l, stretch);
                if (std::isnan(P) || std::isnan(slope)) {
                    CELLGRADE_CHECK(i > rest,
                                    "uniaxial table: the law has no lateral equilibrium at "
                                    "stretch {:.9g}; a smaller compression is needed",
                                    stretch);
                    break;
                }
                table.stress_Pa.push_back(P);
                table.slope_Pa.push_back(slope);
            }
        },
        law);
    integrate_from(table, rest);
    return table;
}

StretchRange stable_range(const UniaxialTable& table) {
    const auto n = table.stress_Pa.size() - 1;
    const auto rest =
        static_cast<std::size_t>(std::lround((1.0 - table.stretch_min) / table.stretch_step));
    std::size_t low = rest, high = rest;
    while (low > 0 && rises(table, low - 1))
        --low;
    while (high < n && rises(table, high))
        ++high;
    return {.min = table.stretch_min + table.stretch_step * static_cast<double>(low),
            .max = table.stretch_min + table.stretch_step * static_cast<double>(high)};
}

} // namespace cellgrade
