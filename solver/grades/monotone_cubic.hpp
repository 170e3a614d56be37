// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>

namespace cellgrade {

/// The points of a rising axis that a value at `at` needs: two on either side, fewer at the ends,
/// the point alone where `at` lies on it.
struct AxisStencil {
    std::size_t first = 0, count = 1;
    bool outside = false; ///< `at` lies before the first or after the last point
};

/// @param x rising, at least one point; @param tolerance how near is on a point
[[nodiscard]] AxisStencil stencil_at(std::span<const double> x, double at, double tolerance);

/// Monotone piecewise cubic through (x, y): between two points it never leaves their values, so it
/// neither overshoots nor adds an extremum; values on a straight line give that line. Slopes are
/// those of the parabola through three points, 0 where the values turn, and at most three times the
/// smaller of the two chords' slopes. Outside it goes on straight with the slope of the end.
///
/// Needs no more than the points of stencil_at(), of which it gives the same value as of all.
///
/// Source: Fritsch & Carlson (1980), SIAM J. Numer. Anal. 17, 238: slopes in the box of 0 to 3
/// chords are sufficient for monotonicity.
[[nodiscard]] double
monotone_cubic(std::span<const double> x, std::span<const double> y, double at);

} // namespace cellgrade
