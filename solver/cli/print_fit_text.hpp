// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/print_fit.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace cellgrade {

/// One quantity of a printer for people and programs, in the unit that its key names.
struct PrintFitRow {
    std::string_view key;
    int readings = 0;
    double mean = 0.0, sd = 0.0;  ///< sd of single readings
    double low = 0.0, high = 0.0; ///< 95 % interval of the mean
};

[[nodiscard]] std::vector<PrintFitRow> print_fit_rows(const PrintFit& fit);

/// The rows as a table; empty without readings.
[[nodiscard]] std::string print_fit_text(const PrintFit& fit);

} // namespace cellgrade
