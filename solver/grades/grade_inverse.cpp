// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_inverse.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

constexpr int scan_steps = 96;
constexpr double density_share = 1e-9; // to which an end of a range is bisected

GradePoint with_density(GradePoint at, double density) {
    at.relative_density = density;
    return at;
}

/// Evenly on a logarithm over what the table has there.
std::vector<double> scanned(const GradeCurves& curves, const GradePoint& at) {
    const auto [low, high] = curves.density_range(at);
    std::vector<double> densities{low};
    for (int i = 1; i < scan_steps && high > low; ++i)
        densities.push_back(low * std::pow(high / low, static_cast<double>(i) / scan_steps));
    if (high > low)
        densities.push_back(high);
    return densities;
}

/// The place between `no` and `yes` where `holds` changes, on the side where it holds.
template <class Holds>
double boundary(double no, double yes, Holds holds) {
    while (std::abs(yes - no) > density_share * yes) {
        const double middle = 0.5 * (no + yes);
        (holds(middle) ? yes : no) = middle;
    }
    return yes;
}

void check_positive(double value, const char* name, const char* unit) {
    CELLGRADE_CHECK(value > 0.0 && std::isfinite(value), "{} {:g} {} must be above 0", name, value,
                    unit);
}

} // namespace

DensityForStress
density_for_plateau(const GradeCurves& curves, double plateau_stress_Pa, const GradePoint& at) {
    check_positive(plateau_stress_Pa, "plateau stress", "Pa");
    const auto over = [&](double density) {
        const double plateau = curves.curve_at(with_density(at, density)).plateau_stress_Pa();
        CELLGRADE_CHECK(!std::isnan(plateau),
                        "the curves of cell '{}' end before 40 % strain: they have no plateau "
                        "stress",
                        curves.selection().cell);
        return plateau - plateau_stress_Pa;
    };
    const std::vector<double> densities = scanned(curves, at);
    std::vector<double> differences;
    for (const double density : densities)
        differences.push_back(over(density));
    DensityForStress found;
    for (std::size_t i = 0; i < densities.size(); ++i) {
        if (differences[i] == 0.0)
            found.densities.push_back(densities[i]);
        if (i + 1 == densities.size() || !(differences[i] * differences[i + 1] < 0.0))
            continue;
        double below = differences[i] < 0.0 ? densities[i] : densities[i + 1];
        double above = differences[i] < 0.0 ? densities[i + 1] : densities[i];
        for (int k = 0; k < 60 && std::abs(above - below) > 1e-15; ++k) {
            const double middle = 0.5 * (below + above);
            (over(middle) < 0.0 ? below : above) = middle;
        }
        found.densities.push_back(0.5 * (below + above));
    }
    if (found.densities.empty()) {
        const auto [least, most] = std::minmax_element(differences.begin(), differences.end());
        found.why_none = fmt::format(
            "plateau stresses of {} go from {:.4g} to {:.4g} MPa at relative densities {:.4g} to "
            "{:.4g}",
            curves.selection().cell, (*least + plateau_stress_Pa) / 1e6,
            (*most + plateau_stress_Pa) / 1e6, densities.front(), densities.back());
    }
    return found;
}

DensityForEnergy density_for_energy(const GradeCurves& curves,
                                    double energy_J_per_m3,
                                    double stress_limit_Pa,
                                    const GradePoint& at) {
    check_positive(energy_J_per_m3, "energy per volume", "J/m^3");
    check_positive(stress_limit_Pa, "stress limit", "Pa");
    const auto absorbed = [&](double density) {
        return curves.curve_at(with_density(at, density)).absorbed_below(stress_limit_Pa);
    };
    const auto enough = [&](double density) {
        return absorbed(density).energy_J_per_m3 >= energy_J_per_m3;
    };
    const std::vector<double> densities = scanned(curves, at);
    std::vector<AbsorbedEnergy> energies;
    for (const double density : densities)
        energies.push_back(absorbed(density));
    const auto less = [](const AbsorbedEnergy& a, const AbsorbedEnergy& b) {
        return a.energy_J_per_m3 < b.energy_J_per_m3;
    };
    const auto most = std::max_element(energies.begin(), energies.end(), less);
    DensityForEnergy found{.best = densities[static_cast<std::size_t>(most - energies.begin())],
                           .at_best = *most};
    const std::size_t n = densities.size();
    for (std::size_t i = 0; i < n; ++i) {
        if (energies[i].energy_J_per_m3 < energy_J_per_m3)
            continue;
        std::size_t end = i;
        while (end + 1 < n && energies[end + 1].energy_J_per_m3 >= energy_J_per_m3)
            ++end;
        AbsorbingRange range{.from_is_table_end = i == 0, .to_is_table_end = end + 1 == n};
        range.from = i == 0 ? densities[0] : boundary(densities[i - 1], densities[i], enough);
        range.to =
            end + 1 == n ? densities[end] : boundary(densities[end + 1], densities[end], enough);
        const auto first = energies.begin() + static_cast<std::ptrdiff_t>(i);
        const auto best =
            std::max_element(first, energies.begin() + static_cast<std::ptrdiff_t>(end + 1), less);
        range.best = densities[static_cast<std::size_t>(best - energies.begin())];
        range.at_best = *best;
        range.at_from = absorbed(range.from);
        found.ranges.push_back(range);
        i = end;
    }
    if (found.ranges.empty())
        found.why_none = fmt::format(
            "below {:.4g} MPa {} absorbs at most {:.4g} kJ/m^3, at relative density {:.4g}",
            stress_limit_Pa / 1e6, curves.selection().cell, found.at_best.energy_J_per_m3 / 1e3,
            found.best);
    return found;
}

} // namespace cellgrade
