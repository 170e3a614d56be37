// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/grade_curve.hpp"

#include "solver/core/error.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

constexpr double plateau_from = 0.2, plateau_to = 0.4;

/// First of the two points between which `strain` lies.
std::size_t segment(const std::vector<double>& strains, double strain) {
    const auto above = std::upper_bound(strains.begin() + 1, strains.end() - 1, strain);
    return static_cast<std::size_t>(above - strains.begin()) - 1;
}

double on_line(double x0, double y0, double x1, double y1, double x) {
    const double t = (x - x0) / (x1 - x0);
    return (1.0 - t) * y0 + t * y1;
}

} // namespace

double GradeCurve::stress_at(double strain) const {
    CELLGRADE_CHECK(strain >= 0.0 && strain <= last_strain(),
                    "strain {:g} is outside 0 to {:.4g}, where a curve of relative density {:g} "
                    "is known",
                    strain, last_strain(), relative_density);
    const std::size_t i = segment(nominal_strain, strain);
    return on_line(nominal_strain[i], nominal_stress_Pa[i], nominal_strain[i + 1],
                   nominal_stress_Pa[i + 1], strain);
}

double GradeCurve::unloading_stress_at(double strain) const {
    CELLGRADE_CHECK(!unloading_strain.empty(),
                    "not all grades around relative density {:g} were unloaded", relative_density);
    CELLGRADE_CHECK(strain >= 0.0 && strain <= unloading_strain.front(),
                    "strain {:g} is outside 0 to {:.4g}, from where a grade of relative density "
                    "{:g} goes back",
                    strain, unloading_strain.front(), relative_density);
    const auto below = std::find_if(unloading_strain.begin() + 1, unloading_strain.end(),
                                    [&](double each) { return each <= strain; });
    if (below == unloading_strain.end())
        return 0.0;
    const auto i = static_cast<std::size_t>(below - unloading_strain.begin());
    return on_line(unloading_strain[i - 1], unloading_stress_Pa[i - 1], unloading_strain[i],
                   unloading_stress_Pa[i], strain);
}

double GradeCurve::energy_to(double strain) const {
    const double stress = stress_at(strain);
    const std::size_t i = segment(nominal_strain, strain);
    return energy_J_per_m3[i] +
           0.5 * (nominal_stress_Pa[i] + stress) * (strain - nominal_strain[i]);
}

double GradeCurve::plateau_stress_Pa() const {
    if (last_strain() < plateau_to)
        return unknown;
    return (energy_to(plateau_to) - energy_to(plateau_from)) / (plateau_to - plateau_from);
}

AbsorbedEnergy GradeCurve::absorbed_below(double stress_limit_Pa) const {
    const auto above = std::find_if(nominal_stress_Pa.begin(), nominal_stress_Pa.end(),
                                    [&](double stress) { return stress > stress_limit_Pa; });
    if (above == nominal_stress_Pa.end())
        return {last_strain(), energy_J_per_m3.back(), true};
    const auto i = static_cast<std::size_t>(above - nominal_stress_Pa.begin());
    if (i == 0)
        return {};
    const double strain = on_line(nominal_stress_Pa[i - 1], nominal_strain[i - 1],
                                  nominal_stress_Pa[i], nominal_strain[i], stress_limit_Pa);
    return {strain, energy_to(strain), false};
}

} // namespace cellgrade
