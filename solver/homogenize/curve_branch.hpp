// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"

#include <optional>
#include <vector>

namespace cellgrade {

/// One way of a curve, there or back, as straight lines over ascending nominal strain.
struct CurveBranch {
    std::vector<double> strain;    ///< ascending, at least two
    std::vector<double> stress_Pa; ///< one a strain

    /// Stress at a strain, clamped to the ends [Pa].
    [[nodiscard]] double at(double strain) const;
};

/// A range of strain; empty when `to` is not above `from`.
struct StrainRange {
    double from = 0.0;
    double to = 0.0;
    [[nodiscard]] bool empty() const { return !(to > from); }
};

/// The loading, from strain 0 to the largest, as LoadingBranch takes it.
[[nodiscard]] CurveBranch loading_branch(const CrushCurve& curve);

/// The unloading, turned round; nothing without one. Where the stress has fallen to 0.1 % of the
/// largest, the platen is free: from there to strain 0 the stress is zero.
[[nodiscard]] std::optional<CurveBranch> unloading_branch(const CrushCurve& curve);

/// Strain that both cover.
[[nodiscard]] StrainRange common_range(const CurveBranch& a, const CurveBranch& b);

/// All strains of the branches inside the range, and its ends, each once; between two of them all
/// branches are straight.
[[nodiscard]] std::vector<double> common_strains(const std::vector<const CurveBranch*>& branches,
                                                 const StrainRange& range);

/// Area under the branch over a range that it covers, exact for straight lines [J/m^3].
[[nodiscard]] double area_under(const CurveBranch& branch, const StrainRange& range);

/// Largest stress over a range that the branch covers [Pa].
[[nodiscard]] double largest_stress(const CurveBranch& branch, const StrainRange& range);

} // namespace cellgrade
