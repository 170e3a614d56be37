// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <optional>
#include <string>

namespace cellgrade::test {

/// |got - want| / |want|; NaN counts as infinitely wrong.
inline double rel_err(double got, double want) {
    const double error = std::abs(got - want) / std::max(std::abs(want), 1e-300);
    return std::isnan(error) ? std::numeric_limits<double>::infinity() : error;
}

/// Observed order from errors at h and h/2.
inline double order(double coarse, double fine) {
    return std::log2(coarse / fine);
}

/// Folder of open measured data, from CELLGRADE_DATA; empty when it is not there.
inline std::optional<std::filesystem::path> data_folder() {
    const char* value = std::getenv("CELLGRADE_DATA");
    if (value == nullptr || !std::filesystem::is_directory(value))
        return std::nullopt;
    return std::filesystem::path(value);
}

} // namespace cellgrade::test
