// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/svg.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// Readings of one test or one isotherm; loss only of frequency tests.
struct RelaxationReadings {
    std::string label; ///< in the key, may be empty
    std::vector<double> time_s, modulus_Pa, loss_Pa;
};

/// Modulus over log time: readings as dots (loss: rings), the fitted series as a line (loss:
/// dashed).
struct RelaxationPanel {
    std::string name;      ///< over the panel
    std::string time_name; ///< of the axis, with unit
    std::vector<RelaxationReadings> readings;
    std::vector<double> fit_time_s, fit_modulus_Pa, fit_loss_Pa;

    /// Whether there is a reading above 0 to draw.
    [[nodiscard]] bool empty() const;
};

/// Draws axes, readings, fit and key into a rectangle; the key stands inside it, at its right, axis
/// names and ticks to its left and below. Time is logarithmic, so is the modulus where it spans a
/// decade or more; values that have no logarithm are left out. The panel must not be empty().
void draw_relaxation(Svg& svg, Pixel corner, Pixel size, const RelaxationPanel& panel);

} // namespace cellgrade
