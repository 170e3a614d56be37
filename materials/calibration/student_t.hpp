// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// Half-width factor of a two-sided interval: |t| that a Student variable of `freedom` degrees of
/// freedom (> 0) stays below with probability `level` (0 < level < 1).
///
///   P(|T| < t) = 1 - I_x(freedom/2, 1/2),   x = freedom / (freedom + t^2)
///
/// Source: NIST Digital Library of Mathematical Functions, 8.17 (continued fraction 8.17.22);
/// inverted by bisection to round-off.
[[nodiscard]] double student_t_factor(double level, double freedom);

} // namespace cellgrade
