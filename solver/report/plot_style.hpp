// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/report/curve_plot.hpp"
#include "solver/report/svg.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// What colours, dashes and markers mean in one picture.
struct PlotStyle {
    std::vector<double> densities;   ///< sorted, each once; empty: colours by curve
    std::vector<std::string> speeds; ///< labels in order of speed; one or none: no markers
    double stress_unit_Pa = 1e6;     ///< of the axis
    std::string stress_unit;         ///< "MPa" or "kPa"
};

[[nodiscard]] PlotStyle plot_style(const CurvePlot& plot);

/// "0.02 m/s" or "1.5 1/s"; empty when neither is known.
[[nodiscard]] std::string speed_label(const PlotCurve& curve);

/// Place of a curve's speed in the style's list.
[[nodiscard]] std::size_t speed_place(const PlotStyle& style, const PlotCurve& curve);

/// Line of a curve; `place` is its number in the picture, for colours without densities.
[[nodiscard]] Stroke
curve_stroke(const PlotStyle& style, const PlotCurve& curve, std::size_t place);

/// Colour of a density of the style.
[[nodiscard]] std::string density_colour(const PlotStyle& style, double density);

/// Dash list of the speed at `place`.
[[nodiscard]] std::string speed_dashes(std::size_t place);

/// A small mark; its shape tells the speed at `place`.
void draw_marker(Svg& svg, Pixel at, std::size_t place, const std::string& colour);

/// The ring at the densification strain.
void draw_densification(Svg& svg, Pixel at, const std::string& colour);

inline constexpr const char* untrusted_dashes = "5 4";
inline constexpr const char* band_colour = "#d9e4ee";
inline const std::string quiet_colour = "#555555", grid_colour = "#e4e4e4", edge_colour = "#8a8a8a";

} // namespace cellgrade
