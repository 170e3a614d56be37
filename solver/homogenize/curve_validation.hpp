// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/corridor.hpp"
#include "solver/homogenize/curve_score.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace cellgrade {

/// One quantity of the computed curve beside that of the measured ones; NaN where unknown.
struct Difference {
    double computed = 0.0;
    double measured = 0.0;  ///< mean of the repeats that have it
    double deviation = 0.0; ///< of the sample of repeats (n - 1); NaN of one

    /// computed / measured - 1 [-]
    [[nodiscard]] double relative() const { return computed / measured - 1.0; }
};

/// Mean and deviation of what is known among the values of the repeats.
[[nodiscard]] Difference difference_of(double computed, std::span<const double> measured);

/// One way of the curves, loading or unloading.
struct BranchValidation {
    StrainRange range; ///< that the computed curve and all repeats cover
    Corridor corridor; ///< of the repeats
    CurveBranch computed;
    CurveScore score;        ///< of the computed curve against the mean of the repeats
    double inside_one = 0.0; ///< share of the range inside one deviation; NaN of one repeat
    double inside_two = 0.0; ///< inside two deviations
};

/// A computed curve held against measured ones.
///
/// Every number belongs to the strain that all curves cover: nothing is extrapolated. The
/// unloading is compared when all curves have one.
struct CurveValidation {
    BranchValidation loading;
    std::optional<BranchValidation> unloading;
    CurveScore overall;             ///< integrals of both branches added
    Difference peak_stress_Pa;      ///< largest stress of the loading; force / gross area
    Difference loading_energy;      ///< area under the loading [J/m^3]
    Difference loop_area;           ///< the same less the area under the unloading [J/m^3]
    std::vector<std::string> notes; ///< where the curves cannot be compared as they are
};

/// @param measured at least one curve
/// @throws Error (Input) for a curve that is none, or when there is no strain in common
[[nodiscard]] CurveValidation validate_curve(const CrushCurve& computed,
                                             std::span<const CrushCurve> measured);

} // namespace cellgrade
