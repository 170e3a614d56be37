// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/grade_response.hpp"
#include "solver/grades/grade_curve.hpp"

#include <vector>

namespace cellgrade {

/// One layer of a graded pad, the struck side first; shares of all layers add up to 1.
struct PadLayer {
    double relative_density = 0.0;
    double thickness_share = 0.0;
};

/// The curve of layers that carry the same stress, each at its own strain:
///
///   strain(stress) = sum over layers of  share * strain of the layer(stress)
///
/// Where a layer's stress falls after its collapse, a held stress carries it on to where it rises
/// past that again, so the layer is as strong as the largest stress it has met. Past the end of its
/// own curve a layer is rigid: it is densified, and its pad is stiffer for it, not softer. The way
/// back adds the layers' own ways back.
///
/// Source: equilibrium of a series (Reuss 1929). The layers' inertia, the cells cut at their planes
/// and the sideways pull between them are left out; `cellgrade drop --against` says how much that
/// is.
/// @param curves one a layer, of one rate and temperature
/// @param shares of the thickness, positive; they are scaled to a sum of 1
[[nodiscard]] GradeCurve in_series(const std::vector<GradeCurve>& curves,
                                   const std::vector<double>& shares);

/// A pad of layers at one temperature; of one grade where there is one layer. All layers are taken
/// at the strain rate of the pad.
/// @throws Error (Input) as GradeResponse
[[nodiscard]] GradeResponse layered_response(const GradeCurves& curves,
                                             const std::vector<PadLayer>& layers,
                                             double temperature_C);

} // namespace cellgrade
