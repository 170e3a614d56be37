// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/homogenize/crush_traits.hpp"

#include <cmath>
#include <functional>
#include <string>
#include <vector>

namespace cellgrade::test {

/// Invented grades of one cell whose stress is known in closed form.
struct GradeFamily {
    std::vector<double> densities{0.06, 0.08, 0.1, 0.12, 0.14};
    std::vector<double> rates_per_s{0.01};
    std::vector<double> temperatures_C{std::numeric_limits<double>::quiet_NaN()};
    int rows = 351;
    double last_strain = 0.7;
    bool unload = false;
    /// Nominal stress at strain, density, rate, temperature [Pa].
    std::function<double(double, double, double, double)> stress_Pa;
};

inline GradeRow family_row(const GradeFamily& family, double density, double rate, double celsius) {
    GradeRow row;
    row.grade.key = std::to_string(density) + " " + std::to_string(rate) + std::to_string(celsius);
    row.grade.cell = "octet";
    row.grade.polymer = "made-up elastomer";
    row.grade.relative_density = density;
    row.grade.strain_rate_per_s = rate;
    row.grade.temperature_C = celsius;
    row.status = "trusted";
    for (int i = 0; i < family.rows; ++i) {
        const double e = family.last_strain * i / (family.rows - 1);
        row.curve.nominal_strain.push_back(e);
        row.curve.nominal_stress_Pa.push_back(family.stress_Pa(e, density, rate, celsius));
    }
    row.curve.turn = family.rows;
    row.traits = crush_traits(row.curve, {density, 1000.0});
    if (family.unload)
        for (const double share : {0.9, 0.7, 0.4, 0.1}) {
            const double e = family.last_strain * share;
            row.curve.nominal_strain.push_back(e);
            row.curve.nominal_stress_Pa.push_back(
                share > 0.1 ? 0.5 * family.stress_Pa(e, density, rate, celsius) : 0.0);
        }
    return row;
}

inline GradeTable family_table(const GradeFamily& family) {
    GradeTable table{.study_name = "invented family"};
    for (const double celsius : family.temperatures_C)
        for (const double rate : family.rates_per_s)
            for (const double density : family.densities)
                table.rows.push_back(family_row(family, density, rate, celsius));
    return table;
}

/// Shape of a crush: up to 1 at 5 % strain, a slow rise to 1.2 at 55 %, and steep from there: 8.2
/// at 70 %. Straight lines whose corners lie on rows.
inline double crush_shape(double e) {
    if (e < 0.05)
        return e / 0.05;
    return e < 0.55 ? 1.0 + 0.4 * (e - 0.05) : 1.2 + (e - 0.55) / 0.15 * 7.0;
}

/// Integral of crush_shape() from 0.
inline double crush_shape_energy(double e) {
    if (e < 0.05)
        return 0.5 * e * e / 0.05;
    if (e < 0.55)
        return 0.025 + (e - 0.05) * (1.0 + 0.2 * (e - 0.05));
    return 0.025 + 0.55 + (e - 0.55) * (1.2 + 0.5 * (e - 0.55) / 0.15 * 7.0);
}

} // namespace cellgrade::test
