// SPDX-License-Identifier: Apache-2.0
// consumer TABLE.h5   reads a grade table, asks for the curve between two grades and for the
// density of its plateau stress, and prints that density.
#include "solver/core/keyed_file.hpp"
#include "solver/grades/grade_inverse.hpp"
#include "solver/results/grade_table_file.hpp"

#include <cmath>
#include <cstdio>
#include <stdexcept>

int main(int count, char** arguments) {
    const cellgrade::KeyedTable keys = cellgrade::parse_keyed_text("density = 0.09\n", "x");
    const double density = keys.positive("density");
    if (count != 2)
        return 2;
    try {
        const cellgrade::GradeTable table = cellgrade::read_grade_table(arguments[1]);
        const cellgrade::GradeCurves curves(table, {.cell = "body_centred"});
        const cellgrade::GradeCurve curve = curves.curve_at({.relative_density = density});
        const auto found = cellgrade::density_for_plateau(curves, curve.plateau_stress_Pa());
        if (found.densities.size() != 1 || std::abs(found.densities[0] - density) > 1e-9)
            return 3;
        std::printf("%.6f\n", found.densities[0]);
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return 1;
    }
    return 0;
}
