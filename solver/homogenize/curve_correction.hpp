// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"

namespace cellgrade {

/// What a test frame adds to the shortening of a specimen.
struct FrameCompliance {
    double compliance_m_per_N = 0.0; ///< of load cell, frame and fixtures in series
    double gross_area_m2 = 0.0;      ///< of the specimen
    double height_m = 0.0;           ///< of the specimen
};

/// A curve and by how much its strain was moved.
struct CorrectedCurve {
    CrushCurve curve;
    double strain_shift = 0.0; ///< taken from the strain: at the largest stress (compliance), or
                               ///< everywhere (toe) [-]
    double slope_Pa = 0.0;     ///< toe: of the straight part; else 0
    Index rows_left_out = 0;   ///< in which the strain does not move on any more
};

/// Takes the give of the frame out of the strain,
///
///   strain = strain' - compliance x stress x gross area / height
///
/// for a displacement that was read at the cross-head. The turn moves to the largest strain left.
///
/// Source: springs in series; a linear frame is common practice, no source.
/// @throws Error (Input) when the frame would have given more than the whole shortening somewhere
///         on the loading
[[nodiscard]] CorrectedCurve without_frame(const CrushCurve& curve, const FrameCompliance& frame);

/// Takes the toe out of a curve: the steepest straight part of the first rise, extended to zero
/// stress, gives the origin of strain; below the straight part the curve follows that line.
///
/// Straight part: of all windows that cover a quarter of the collapse stress between 5 and 95 % of
/// it (largest stress without a collapse), the one with the steepest line by least squares.
///
/// Source: ISO 844, ASTM D1621 (from memory) extend the steepest straight portion to zero load; the
/// width of a quarter is ours.
/// @throws Error (Input) when the first rise has no straight part that meets zero inside the curve
[[nodiscard]] CorrectedCurve without_toe(const CrushCurve& curve);

} // namespace cellgrade
