// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration.hpp"
#include "solver/report/curve_plot.hpp"

#include <string>

namespace cellgrade {

/// Coupons against the chosen law, a panel a mode, and below them relaxation readings against the
/// fitted Prony series.
///
/// Strain and stress of a mode count positive in the direction in which its test goes furthest, so
/// compression points up and what is taken back, or turns to the other side, points down. Isotherms
/// stand at their reduced times t / a_T, and every test is divided by its own scale (specimens
/// differ; PronyFit::scales).
[[nodiscard]] CurvePlot calibration_plot(const Calibration& calibration,
                                         const std::string& title,
                                         const std::string& about);

} // namespace cellgrade
