// SPDX-License-Identifier: Apache-2.0
#include "solver/grades/density_scaling.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/power_law.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace cellgrade {

namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr const char* open_cells =
    "open cells that bend, Gibson & Ashby (1997), Cellular Solids, ch. 5";
constexpr const char* stretching_cells =
    "cells that stretch, Deshpande, Fleck & Ashby (2001), J. Mech. Phys. Solids 49, 1747";

/// A trait that is fitted, and what theory says of it.
struct ScaledTrait {
    const char* name;
    double CrushTraits::*member;
    bool is_stress; ///< over the polymer's modulus; else 1 - the trait
    double bending_coefficient, bending_exponent;
    double stretching_coefficient, stretching_exponent; ///< NaN: no theory
};

constexpr std::array<ScaledTrait, 4> scaled_traits{
    {{"quasi_elastic_gradient_Pa", &CrushTraits::quasi_elastic_gradient_Pa, true, 1.0, 2.0, none,
      1.0},
     {"collapse_stress_Pa", &CrushTraits::collapse_stress_Pa, true, 0.05, 2.0, none, none},
     {"plateau_stress_Pa", &CrushTraits::plateau_stress_Pa, true, 0.05, 2.0, none, none},
     {"densification_strain", &CrushTraits::densification_strain, false, 1.4, 1.0, none, none}}};

bool same(double a, double b) {
    return (std::isnan(a) && std::isnan(b)) || a == b;
}

bool same_series(const GradeCase& a, const GradeCase& b) {
    return a.cell == b.cell && a.polymer == b.polymer && a.direction == b.direction &&
           same(a.temperature_C, b.temperature_C) && same(a.speed_m_per_s, b.speed_m_per_s) &&
           (std::isfinite(a.speed_m_per_s) || same(a.strain_rate_per_s, b.strain_rate_per_s));
}

using Series = std::vector<const GradeRow*>;

std::vector<Series> series_of(const GradeTable& table) {
    std::vector<Series> all;
    for (const GradeRow& row : table.rows) {
        if (row.status != "trusted" || row.grade.load != CaseLoad::Compression)
            continue;
        const auto known = std::find_if(all.begin(), all.end(), [&](const Series& s) {
            return same_series(s.front()->grade, row.grade);
        });
        (known == all.end() ? all.emplace_back() : *known).push_back(&row);
    }
    return all;
}

std::string series_text(const GradeCase& g) {
    return fmt::format("{} {}, {}", g.cell, direction_text(g.direction),
                       std::isfinite(g.speed_m_per_s)
                           ? fmt::format("{:g} m/s", g.speed_m_per_s)
                           : fmt::format("{:g} 1/s", g.strain_rate_per_s));
}

/// The trait as it is fitted: above 0, or NaN.
double scaled_value(const GradeRow& row, const ScaledTrait& trait) {
    const double value = row.traits.*trait.member;
    return trait.is_stress ? value / row.polymer_modulus_Pa : 1.0 - value;
}

void set_theory(ScalingRow& out, const ScaledTrait& trait, bool stretches) {
    if (!stretches || !trait.is_stress) {
        out.theory = open_cells;
        out.theory_coefficient = trait.bending_coefficient;
        out.theory_exponent = trait.bending_exponent;
    } else if (std::isfinite(trait.stretching_exponent)) {
        out.theory = stretching_cells;
        out.theory_coefficient = trait.stretching_coefficient;
        out.theory_exponent = trait.stretching_exponent;
    }
}

/// A fit of one trait over a series; nothing with fewer than two densities.
std::optional<ScalingRow>
fit_series(const Series& series, const ScaledTrait& trait, std::vector<std::string>& notes) {
    const GradeCase& of = series.front()->grade;
    std::vector<double> density, value;
    Index without_modulus = 0, without_trait = 0;
    double worst = 0.0;
    for (const GradeRow* row : series) {
        const double scaled = scaled_value(*row, trait);
        if (trait.is_stress && std::isnan(row->polymer_modulus_Pa))
            ++without_modulus;
        else if (!(scaled > 0.0))
            ++without_trait;
        else {
            density.push_back(row->grade.relative_density);
            value.push_back(scaled);
        }
    }
    if (without_modulus > 0)
        notes.push_back(fmt::format("{}: {}: {} of {} grades have no modulus of their polymer, so "
                                    "their stress cannot be made a share of it; left out",
                                    series_text(of), trait.name, without_modulus, series.size()));
    if (without_trait > 0)
        notes.push_back(fmt::format("{}: {}: not known of {} of {} grades; left out",
                                    series_text(of), trait.name, without_trait, series.size()));
    const auto [least, most] = std::minmax_element(density.begin(), density.end());
    if (density.size() < 2 || !(*most > *least * (1.0 + 1e-6)))
        return std::nullopt;
    const PowerLaw law = fit_power_law(density, value);
    for (std::size_t i = 0; i < density.size(); ++i) {
        const double fit = law.at(density[i]);
        worst = std::max(worst, trait.is_stress ? std::abs(fit / value[i] - 1.0)
                                                : std::abs((1.0 - fit) / (1.0 - value[i]) - 1.0));
    }
    if (density.size() == 2)
        notes.push_back(fmt::format("{}: {}: two grades give a power law without an interval",
                                    series_text(of), trait.name));
    return ScalingRow{.cell = of.cell,
                      .direction = of.direction,
                      .strain_rate_per_s = of.strain_rate_per_s,
                      .temperature_C = of.temperature_C,
                      .trait = trait.name,
                      .grades = static_cast<Index>(density.size()),
                      .density_from = *least,
                      .density_to = *most,
                      .coefficient = law.coefficient,
                      .coefficient_low = law.coefficient_low,
                      .coefficient_high = law.coefficient_high,
                      .exponent = law.exponent,
                      .exponent_low = law.exponent_low,
                      .exponent_high = law.exponent_high,
                      .worst_share = worst};
}

} // namespace

bool carries_by_stretching(const StrutCell& cell) {
    std::vector<Index> struts_at(cell.nodes.size(), 0);
    for (const Strut& strut : cell.struts)
        for (const Index node : {strut.a, strut.b})
            ++struts_at[static_cast<std::size_t>(node)];
    return *std::min_element(struts_at.begin(), struts_at.end()) >= 12;
}

DensityScaling
density_scaling(const GradeTable& table,
                const std::function<std::optional<bool>(const std::string& cell)>& stretching) {
    DensityScaling out;
    for (const Series& series : series_of(table)) {
        const GradeCase& of = series.front()->grade;
        if (series.size() < 2) {
            out.notes.push_back(fmt::format("{}: one grade gives no power law", series_text(of)));
            continue;
        }
        const std::optional<bool> stretches = stretching(of.cell);
        for (const ScaledTrait& trait : scaled_traits) {
            std::optional<ScalingRow> row = fit_series(series, trait, out.notes);
            if (!row)
                continue;
            if (stretches && std::isnan(of.speed_m_per_s))
                set_theory(*row, trait, *stretches);
            out.rows.push_back(*row);
        }
    }
    return out;
}

} // namespace cellgrade
