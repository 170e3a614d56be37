// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/plot_style.hpp"

#include <vector>

namespace cellgrade {

/// One panel: its rectangle in the picture and the axes that all panels share.
struct PlotFrame {
    Pixel corner, size;
    PlotAxis strain, stress; ///< stress in the unit of the style
};

/// A curve and its number in the picture.
struct NumberedCurve {
    const PlotCurve* curve;
    std::size_t place;
};

/// Stress on the loading branch at a strain [Pa], between rows; nothing where it does not reach.
[[nodiscard]] std::optional<double> loading_stress(const CrushCurve& curve, double strain);

/// Words at the end of a curve: its density, or its label without densities; "untrusted" if so.
[[nodiscard]] std::string end_words(const PlotStyle& style, const PlotCurve& curve);

/// Draws a band into a panel.
void draw_band(Svg& svg, const PlotFrame& frame, const PlotStyle& style, const PlotBand& band);

/// Draws the curves of a panel: lines, speed markers, densification rings, and a label at the end
/// of each loading curve: above the panel where the curve leaves through its top, else at the
/// right. Equal labels are written once; labels are moved apart where they would meet.
void draw_curves(Svg& svg,
                 const PlotFrame& frame,
                 const PlotStyle& style,
                 const std::vector<NumberedCurve>& curves);

} // namespace cellgrade
