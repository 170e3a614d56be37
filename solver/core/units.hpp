// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <numbers>

/// Factors to SI, for the border between files and the inside: `12.0 * units::mm`.
namespace cellgrade::units {

inline constexpr double mm = 1e-3;
inline constexpr double mm2 = 1e-6;
inline constexpr double MPa = 1e6;
inline constexpr double kPa = 1e3;
inline constexpr double kJ_per_m3 = 1e3;
inline constexpr double ms = 1e-3;
inline constexpr double us = 1e-6;
inline constexpr double g_per_cm3 = 1e3;
inline constexpr double degree = std::numbers::pi / 180.0; ///< to radians
inline constexpr double zero_C = 273.15;            ///< 0 degrees Celsius [K], exact by definition
inline constexpr double standard_gravity = 9.80665; ///< [m/s^2], exact by definition (CGPM 1901)

} // namespace cellgrade::units
