// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration.hpp"
#include "solver/report/curve_plot.hpp"

#include <string>

namespace cellgrade {

/// A calibration for the reader at a terminal: laws tried, values with intervals, curves, Prony
/// terms, shifts, stable ranges, what the data cannot tell, and the caution.
[[nodiscard]] std::string calibration_text(const Calibration& calibration);

/// The same as one JSON document, schema "cellgrade/calibration".
[[nodiscard]] std::string calibration_json(const Calibration& calibration);

/// Coupons against the chosen law, a panel a mode.
[[nodiscard]] CurvePlot calibration_plot(const Calibration& calibration,
                                         const std::string& title,
                                         const std::string& about);

} // namespace cellgrade
