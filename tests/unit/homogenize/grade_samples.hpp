// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/grade_law.hpp"

#include <utility>
#include <vector>

/// Invented grades whose law is known, and the crushes that follow from it.
namespace cellgrade::test {

/// A plateau of 0.03 MPa from 10 to 50 % strain, of a grade of relative density 0.1.
inline TabulatedFoam known_foam(double poissons_ratio) {
    TabulatedFoam law{};
    law.spacing = 0.05;
    int knot = 0;
    for (const double s :
         {0.020, 0.028, 0.030, 0.0306, 0.0312, 0.0318, 0.0326, 0.0336, 0.035, 0.037, 0.040, 0.045})
        law.set_stress(knot++, 1e6 * s);
    const double first = law.stress_01 / law.spacing;
    law.side = poissons_ratio * first / (1.0 - 2.0 * poissons_ratio);
    law.closing = 0.15e6;
    law.closing_exponent = 8.0;
    law.void_fraction = 0.9;
    return law;
}

inline PolymerCard known_card(double poissons_ratio) {
    return {.name = "invented grade",
            .source = "invented",
            .density_kg_per_m3 = 115.0,
            .law = known_foam(poissons_ratio),
            .prony = {{.share = 0.3, .time_s = 0.5}, {.share = 0.2, .time_s = 20.0}}};
}

/// Pressed to `to_strain` at 0.01 1/s in rows of 0.4 % strain, then sheared to `to_shear` and, when
/// asked, back without load in between.
inline GradeTest crush_of(const PolymerCard& card, double to_strain, double to_shear, bool back) {
    constexpr double rate = 0.01, step = 0.004;
    std::vector<ColumnMoment> path;
    double time = 0.0;
    const auto add = [&](double strain, double shear) {
        time += step / rate;
        path.push_back({.time_s = time, .strain = strain, .shear = shear});
    };
    for (int i = 1; i * step <= to_strain + 1e-9; ++i)
        add(i * step, 0.0);
    const std::size_t turn = path.size();
    for (int i = 1; i * step <= to_shear + 1e-9; ++i)
        add(to_strain, i * step);
    for (double e = to_strain - step; back && e > 0.3 * to_strain; e -= step)
        add(e, 0.0);
    const std::vector<ColumnAnswer> answers = column_path(card, path);
    GradeTest test{.name = to_shear > 0.0 ? "sheared" : "pressed",
                   .strain_rate_per_s = rate,
                   .to_strain = to_strain};
    for (std::size_t i = 0; i < path.size(); ++i) {
        test.curve.nominal_strain.push_back(path[i].strain);
        test.curve.nominal_stress_Pa.push_back(answers[i].stress_Pa);
        if (to_shear > 0.0) {
            test.curve.shear_strain.push_back(path[i].shear);
            test.curve.shear_stress_Pa.push_back(answers[i].shear_stress_Pa);
        }
    }
    test.curve.turn = static_cast<Index>(back ? turn : path.size());
    return test;
}

inline GradeLawInput law_input_of(const PolymerCard& card) {
    return {.name = "invented grade",
            .relative_density = 0.1,
            .density_kg_per_m3 = card.density_kg_per_m3,
            .prony = card.prony,
            .prony_source = "invented",
            .compression = crush_of(card, 0.6, 0.0, false)};
}

} // namespace cellgrade::test
