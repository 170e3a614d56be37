// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/elastic_fit.hpp"
#include "materials/calibration/fit_intervals.hpp"
#include "materials/laws/damage.hpp"

#include <Eigen/Core>

#include <array>
#include <string_view>
#include <vector>

namespace cellgrade {

/// Keys of the three unknowns of damage in a fit: those of a card behind "damage.".
inline constexpr std::array<std::string_view, 3> damage_keys = {"damage.r", "damage.m_kJ_per_m3",
                                                                "damage.beta"};

/// r, m and beta as unknowns, all on a logarithmic scale. First guesses: a third to five sixths of
/// the stress lost, m from 0.01 to 0.3 of the shear modulus of the data (the energy at strains of
/// 0.1 to 0.6), beta from 0.03 to 0.5.
[[nodiscard]] std::vector<FitVariable> damage_variables(double shear_Pa);

/// Damage of three values on the natural scale.
[[nodiscard]] MullinsDamage damage_of(const Eigen::Vector3d& natural);

/// The three with their intervals, which stand in `intervals` from place `first` on.
[[nodiscard]] std::vector<FittedValue>
damage_values(const MullinsDamage& damage, const FitIntervals& intervals, std::size_t first);

} // namespace cellgrade
