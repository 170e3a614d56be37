// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/laws/prony.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// What a solid without memory would have answered, from what one with a Prony series did.
///
///   S(t) = g_inf S_0(t) + sum_i Q_i(t)      dQ_i/dt + Q_i / time_i = share_i dS_0/dt
///   Q_i(t + dt) = e^(-x) Q_i(t) + share_i (1 - e^(-x))/x (S_0(t + dt) - S_0(t)),   x = dt / time_i
///
/// solved row by row for S_0, from rest at time 0: exact where S_0 is straight between rows.
/// Source: recurrence of Taylor, Pister & Goudreau (1970), IJNME 2, 45 (from memory).
/// @param stress  2nd Piola-Kirchhoff stress of one direction, all of which relaxes
/// @throws Error (Input) for times that do not rise or columns of unequal length
[[nodiscard]] std::vector<double> instantaneous_stress(std::span<const PronyTerm> prony,
                                                       std::span<const double> time_s,
                                                       std::span<const double> stress);

} // namespace cellgrade
