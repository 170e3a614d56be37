// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/uncertainty.hpp"

#include <span>

namespace cellgrade {

/// Standard uncertainty of a quantity that lies anywhere between two bounds, none likelier:
///
///   u = |high - low|/sqrt(12)
///
/// Source: JCGM 100:2008 (GUM), 4.3.7 and 4.3.8.
[[nodiscard]] double between_bounds(double low, double high);

/// Root of the sum of squares, of parts that have nothing to do with each other.
///
/// Source: JCGM 100:2008 (GUM), 5.1.2, with the sensitivities already in the parts.
[[nodiscard]] double in_quadrature(std::span<const double> parts);

/// Mean and scatter of independent readings.
struct Readings {
    double mean = 0.0;
    double sd = 0.0;         ///< sample standard deviation, n - 1 below
    double sd_of_mean = 0.0; ///< sd/sqrt(n)
};

/// Source: JCGM 100:2008 (GUM), 4.2.1 to 4.2.3. @param values two and more
[[nodiscard]] Readings readings_of(std::span<const double> values);

/// Standard uncertainty of the trait of the next print, from prints by seed.
///
///   u^2 = sd^2 + (mean - nominal)^2
///
/// The second part is the shift of scattered specimens against the nominal one, which is reported
/// without a correction; for the scatter of the mean alone it is sd^2/n, so that sd^2 (1 + 1/n)
/// comes out, as for one further reading.
/// Source: GUM 4.2.2 for sd; GUM F.2.4.5 on effects that are not corrected (from memory).
[[nodiscard]] double scatter_of_prints(double nominal, std::span<const double> prints);

/// Standard uncertainty that inertia leaves in a slow run, from a run at a share of its speed.
///
///   value(speed) = limit + a speed      |a speed| = |slower - nominal|/(1 - share), a bound
///   u = bound/sqrt(3)
///
/// A linear effect (damping, bulk viscosity) is the largest of the likely ones: inertia itself goes
/// with the square. Source: rectangular distribution of that half-width, GUM 4.3.7; the linear law
/// is our choice.
/// @param share  speed of the slower run / of the nominal one, below 1
[[nodiscard]] double from_slower_run(double nominal, double slower, double share);

/// A trait of specimens of different sizes.
struct SizeValue {
    double cells = 0.0; ///< across
    double value = 0.0;
};

/// Standard uncertainty that a specimen of few cells leaves in a trait.
///
///   value(n) = limit + a/n      |a/n| = |v_m - v_n| m/|m - n|, a bound      u = bound/sqrt(3)
///
/// n is the reported specimen, m the largest other one. Layers at platens and free sides are of a
/// constant thickness, so their share goes with 1/n (Onck, Andrews and Gibson 2001, Int. J. Mech.
/// Sci. 43, 681, from memory). Rectangular distribution, GUM 4.3.7.
/// @param sizes  two and more, of different counts @param reported index of the reported specimen
[[nodiscard]] double from_larger_specimen(std::span<const SizeValue> sizes, std::size_t reported);

/// Cells from which on every specimen is within `doubt` of the largest one; NaN when no smaller one
/// is. @param sizes as above
[[nodiscard]] double settled_cells(std::span<const SizeValue> sizes, double doubt);

/// Uncertainty of a trait of one density, in proportion, as that of another density: parts times
/// |to/from|. The extrapolated value does not go with it. All unknown where `from` is 0 or unknown.
[[nodiscard]] TraitUncertainty carried(const TraitUncertainty& doubt, double from, double to);

} // namespace cellgrade
