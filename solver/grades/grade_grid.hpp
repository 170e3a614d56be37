// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"

#include <array>
#include <string>
#include <vector>

namespace cellgrade {

/// The loading curves of a table as one array, for readers that think in axes.
struct GradeGrid {
    /// Why there is none: the cases are of several cells, or leave holes. Empty: there is one.
    std::string absent_because;
    std::vector<double> relative_density;
    std::vector<std::array<Index, 3>> direction;
    std::vector<double> strain_rate_per_s;
    std::vector<double> temperature_C;  ///< one NaN where no case has a temperature
    std::vector<double> nominal_strain; ///< 0, 0.005, ... to the longest curve
    /// Row-major over density, direction, rate, temperature, strain; straight lines between the
    /// rows of a curve. NaN past its end and where the case is not trusted.
    std::vector<double> nominal_stress_Pa;
};

/// The grid of a table whose cases are all combinations of densities, directions, rates and
/// temperatures of one cell, polymer and load, each once.
[[nodiscard]] GradeGrid grade_grid(const GradeTable& table);

} // namespace cellgrade
