// SPDX-License-Identifier: Apache-2.0
#include "solver/homogenize/curve_correction.hpp"

#include "solver/core/error.hpp"
#include "solver/homogenize/crush_traits.hpp"
#include "solver/homogenize/first_rise.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace cellgrade {

namespace {

constexpr double lowest_share = 0.05, highest_share = 0.95; // of the reference stress
constexpr double window_share = 0.25;
constexpr double preload_share = 0.1; // a smaller stress may stand at the first contact
constexpr int windows = 57;           // from 5 to 70 %, a step of 1.25 %: a twentieth of a window

struct Line {
    double slope = 0.0;
    double zero = 0.0; ///< strain at which it meets zero stress
};

/// Least squares of stress over strain.
Line fitted(const std::vector<CurvePoint>& points) {
    double mean_x = 0.0, mean_y = 0.0, xx = 0.0, xy = 0.0;
    const auto n = static_cast<double>(points.size());
    for (const CurvePoint& p : points) {
        mean_x += p.strain / n;
        mean_y += p.stress_Pa / n;
    }
    for (const CurvePoint& p : points) {
        xx += std::pow(p.strain - mean_x, 2);
        xy += (p.strain - mean_x) * (p.stress_Pa - mean_y);
    }
    if (!(xx > 0.0 && xy > 0.0))
        return {};
    const double slope = xy / xx;
    return {.slope = slope, .zero = mean_x - mean_y / slope};
}

/// The rows of a branch, given by index, that move on; `sign` is 1 there and -1 back.
void keep_advancing(
    const CrushCurve& from, std::size_t first, std::size_t end, double sign, CrushCurve& kept) {
    double furthest = -std::numeric_limits<double>::infinity();
    for (std::size_t i = first; i < end; ++i) {
        if (sign * from.nominal_strain[i] <= furthest)
            continue;
        furthest = sign * from.nominal_strain[i];
        kept.nominal_strain.push_back(from.nominal_strain[i]);
        kept.nominal_stress_Pa.push_back(from.nominal_stress_Pa[i]);
    }
}

} // namespace

CorrectedCurve without_frame(const CrushCurve& curve, const FrameCompliance& frame) {
    CELLGRADE_CHECK(frame.compliance_m_per_N >= 0.0 && frame.gross_area_m2 > 0.0 &&
                        frame.height_m > 0.0,
                    "frame compliance {} m/N, gross area {} m^2 and height {} m: none may be "
                    "negative, and the specimen needs a size",
                    frame.compliance_m_per_N, frame.gross_area_m2, frame.height_m);
    (void)LoadingBranch(curve); // refuses what is no curve
    const double give = frame.compliance_m_per_N * frame.gross_area_m2 / frame.height_m; // [1/Pa]
    const double largest =
        *std::max_element(curve.nominal_stress_Pa.begin(), curve.nominal_stress_Pa.end());
    CrushCurve moved = curve;
    const auto turn = static_cast<std::size_t>(curve.turn);
    for (std::size_t i = 0; i < moved.nominal_strain.size(); ++i) {
        moved.nominal_strain[i] -= give * moved.nominal_stress_Pa[i];
        const bool in_question = i < turn && curve.nominal_stress_Pa[i] > preload_share * largest;
        CELLGRADE_CHECK(!in_question || moved.nominal_strain[i] > 0.0,
                        "a frame of {:.4g} mm/N would have given {:.4g} of strain at the strain of "
                        "{:.4g}, more than was measured; check compliance, area and height",
                        1e3 * frame.compliance_m_per_N, give * curve.nominal_stress_Pa[i],
                        curve.nominal_strain[i]);
    }
    const auto first = moved.nominal_strain.begin();
    const auto peak =
        static_cast<std::size_t>(std::max_element(first, moved.nominal_strain.end()) - first);
    CorrectedCurve corrected;
    keep_advancing(moved, 0, peak + 1, 1.0, corrected.curve);
    corrected.curve.turn = static_cast<Index>(corrected.curve.nominal_strain.size());
    keep_advancing(moved, peak + 1, moved.nominal_strain.size(), -1.0, corrected.curve);
    corrected.strain_shift = give * largest;
    corrected.rows_left_out =
        static_cast<Index>(curve.nominal_strain.size() - corrected.curve.nominal_strain.size());
    return corrected;
}

CorrectedCurve without_toe(const CrushCurve& curve) {
    const LoadingBranch branch(curve);
    const CrushTraits traits = crush_traits(curve, {});
    const double reference = std::isnan(traits.collapse_stress_Pa)
                                 ? branch.largest_stress_to(branch.last_strain())
                                 : traits.collapse_stress_Pa;
    CorrectedCurve corrected;
    Line steepest;
    CurvePoint start;
    for (int k = 0; k < windows; ++k) {
        const double low =
            lowest_share + (highest_share - window_share - lowest_share) * k / (windows - 1);
        const std::vector<CurvePoint> points =
            first_rise(branch, low * reference, (low + window_share) * reference);
        if (points.size() < 2)
            continue;
        if (const Line line = fitted(points); line.slope > steepest.slope) {
            steepest = line;
            start = points.front();
        }
    }
    CELLGRADE_CHECK(steepest.slope > 0.0 && steepest.zero < branch.last_strain(),
                    "the first rise has no straight part from which to take a toe correction");
    corrected.strain_shift = steepest.zero;
    corrected.slope_Pa = steepest.slope;
    CrushCurve& moved = corrected.curve;
    moved.nominal_strain.push_back(0.0);
    moved.nominal_stress_Pa.push_back(0.0);
    const auto turn = static_cast<std::size_t>(curve.turn);
    for (std::size_t i = 0; i < curve.nominal_strain.size(); ++i) {
        const double strain = curve.nominal_strain[i];
        if (i < turn && (strain < start.strain || strain <= steepest.zero)) {
            ++corrected.rows_left_out;
            continue;
        }
        if (i == turn)
            moved.turn = static_cast<Index>(moved.nominal_strain.size());
        moved.nominal_strain.push_back(strain - steepest.zero);
        moved.nominal_stress_Pa.push_back(curve.nominal_stress_Pa[i]);
    }
    if (turn == curve.nominal_strain.size())
        moved.turn = static_cast<Index>(moved.nominal_strain.size());
    return corrected;
}

} // namespace cellgrade
