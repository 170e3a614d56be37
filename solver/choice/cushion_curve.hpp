// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/grade_response.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One point of a cushion curve.
struct CushionPoint {
    double static_stress_Pa = 0.0; ///< weight of the body / area of the pad
    double peak_acceleration_g = 0.0;
    double largest_strain = 0.0;
    bool bottomed = false; ///< past the last strain of the table: no result
};

/// Peak acceleration over static stress of a flat body that falls on a pad from one height.
struct CushionCurve {
    double thickness_m = 0.0;
    double drop_height_m = 0.0;
    std::vector<CushionPoint> points; ///< static stress rises
};

/// A cushion curve with the grade it is of.
struct GradeCushion {
    std::string cell;
    double relative_density = 0.0;
    CushionCurve curve;

    /// "octet 0.12, 25 mm, 0.5 m".
    [[nodiscard]] std::string label() const;
};

/// The cushion curve of a grade, as packaging practice draws it: for each static stress s the blow
/// of a mass s A / g at sqrt(2 g H), without its weight afterwards. Where stress does not depend on
/// the strain rate the curve depends on H / thickness alone; on a plateau p it is p / s, on a
/// linear material of modulus E it is sqrt(2 H E / (thickness s)).
///
/// Source of the drawing: common practice (ASTM D1596 measures it), from memory.
/// @param static_stresses_Pa above 0, rising
/// @throws Error (Input) for values out of range; Error (Run) as follow_impact()
[[nodiscard]] CushionCurve cushion_curve(const GradeResponse& grade,
                                         double thickness_m,
                                         double drop_height_m,
                                         const std::vector<double>& static_stresses_Pa);

/// Evenly in the logarithm, both ends included.
[[nodiscard]] std::vector<double> stress_ladder(double from_Pa, double to_Pa, Index count);

/// Static stresses at which a pad is used from little to more than it holds: the blow's energy per
/// volume, s H / thickness, goes from a fiftieth to 1.2 times that of the grade to its last strain
/// at its highest rate.
[[nodiscard]] std::vector<double>
useful_stresses(const GradeResponse& grade, double thickness_m, double drop_height_m, Index count);

/// The points before the pad bottoms, those that are results.
[[nodiscard]] std::vector<CushionPoint> held_points(const CushionCurve& curve);

/// The point of the lowest peak that does not bottom; null when all do.
[[nodiscard]] const CushionPoint* best_point(const CushionCurve& curve);

} // namespace cellgrade
