// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// The loading part of a crush curve as a function of strain, in a form that noise does not fool.
///
/// Rows are kept while they raise the strain; a start (0, 0) is put before a first row of positive
/// strain; rows of negative strain are dropped. Sampling may be uneven.
class LoadingBranch {
public:
    /// @throws Error (Input) for columns of unequal length, a value that is not finite, a turn
    ///         outside the rows, or fewer than two rows that raise the strain
    explicit LoadingBranch(const CrushCurve& curve);

    [[nodiscard]] double last_strain() const { return strain_.back(); }
    [[nodiscard]] std::span<const double> strain() const { return strain_; }
    [[nodiscard]] std::span<const double> stress() const { return stress_; }

    /// W(e) = integral of sigma from 0 to e, trapezoids over the rows [J/m^3]; NaN past the end.
    [[nodiscard]] double energy_to(double strain) const;
    /// Stress by straight lines between rows [Pa]; NaN past the end.
    [[nodiscard]] double stress_at(double strain) const;
    /// Largest stress of a row up to `strain` [Pa]; NaN past the end.
    [[nodiscard]] double largest_stress_to(double strain) const;

    /// Value at `strain` of the polynomial of `degree` (1 or 2) fitted by least squares to the rows
    /// within `half_width`, each weighed by the strain it stands for. It keeps polynomials of that
    /// degree unchanged. Where fewer than degree + 2 rows lie in the window: stress_at().
    ///
    /// Source: Savitzky & Golay (1964), Anal. Chem. 36, 1627, for uneven sampling.
    [[nodiscard]] double smooth_stress(double strain, double half_width, int degree) const;

private:
    [[nodiscard]] std::size_t segment(double strain) const;

    std::vector<double> strain_;
    std::vector<double> stress_;
    std::vector<double> energy_; ///< W at the rows
};

} // namespace cellgrade
