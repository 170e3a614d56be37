// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/calibration.hpp"

#include <string>

namespace cellgrade {

/// A calibration for the reader at a terminal: laws tried, values with intervals, curves, Prony
/// terms, shifts, stable ranges, what the data cannot tell, and the caution.
[[nodiscard]] std::string calibration_text(const Calibration& calibration);

/// The same as one JSON document, schema "cellgrade/calibration".
[[nodiscard]] std::string calibration_json(const Calibration& calibration);

} // namespace cellgrade
