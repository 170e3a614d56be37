// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/measured_options.hpp"
#include "solver/homogenize/curve_validation.hpp"
#include "solver/report/curve_plot.hpp"
#include "solver/results/curve_source.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Everything that the command validate says; text, JSON, CSV and picture are four views of it.
struct ValidationReport {
    std::string computed_file;
    SourcedCurve computed;
    std::vector<std::string> measured_files;
    std::vector<MeasuredCurve> measured;
    CurveValidation validation;
    std::vector<Difference> traits; ///< in the order of trait_fields(), SI
};

[[nodiscard]] std::string validation_text(const ValidationReport& report);

/// Schema "cellgrade/validation".
[[nodiscard]] std::string validation_json(const ValidationReport& report);

/// One row a quantity, SI: quantity, computed, measured mean and deviation, difference.
[[nodiscard]] std::string validation_csv(const ValidationReport& report);

/// One row a strain of the corridor: branch, strain, measured mean and deviation, computed; MPa.
[[nodiscard]] std::string corridor_csv(const ValidationReport& report);

/// The computed curve over the measured ones and, of repeats, their corridor.
[[nodiscard]] CurvePlot validation_plot(const ValidationReport& report);

} // namespace cellgrade
