// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/homogenize/crush_curve.hpp"
#include "solver/report/plot_axis.hpp"
#include "solver/report/relaxation_panel.hpp"

#include <string>
#include <vector>

namespace cellgrade {

/// One curve of a picture.
struct PlotCurve {
    CrushCurve curve;
    std::string panel;              ///< curves of one panel share it: a cell's name, may be empty
    std::string label;              ///< written at the curve's end when there is no density
    double relative_density = 0.0;  ///< colour and end label; NaN: categorical colours and `label`
    double speed_m_per_s = 0.0;     ///< line style; NaN when unknown
    double strain_rate_per_s = 0.0; ///< line style where the speed is NaN; NaN when unknown
    double densification_strain = 0.0; ///< marked on the curve; NaN: not marked
    bool trusted = true;               ///< false: dashed, pale, and labelled so
    bool is_repeat = false; ///< thin and grey: one of several measurements of the same thing
};

/// A band of stress over strain, drawn pale under the curves.
struct PlotBand {
    std::string panel; ///< that of its curves
    std::string label; ///< in the legend
    std::vector<double> strain, low_Pa, high_Pa;
};

/// A picture of stress-strain curves: one panel a cell, all with the same axes.
struct CurvePlot {
    std::string title;
    std::string subtitle; ///< may be empty
    std::vector<PlotCurve> curves;
    std::vector<PlotBand> bands;
    RelaxationPanel relaxation; ///< under the curves; not drawn when empty
    AxisScale stress_scale = AxisScale::Linear;
    std::string strain_name = "nominal strain", stress_name = "nominal stress"; ///< of the axes
    double width_px = 1040.0;
};

/// The picture as SVG text; same input, same bytes. Hand it to `publish_text`.
///
/// Density: dark (dense) to light colours and a number at the curve's end. Speed: line style and
/// marker shape. Untrusted: dashed, pale and labelled. Densification: ring on the curve. Unloading:
/// thin line. A linear stress axis ends at 2.5 times the largest densification stress, and a note
/// says how far the curves go on. Linear axes reach below 0 where a curve does by more than 2 % of
/// its largest value. The caution stands at the foot.
/// @throws Error (Input) without a curve of two points and without relaxation, or for a width below
/// 300 px
[[nodiscard]] std::string curve_plot_svg(const CurvePlot& plot);

/// All rows of a table that have a curve, in table order: one panel a cell, direction, temperature
/// and load. Sheared rows show shear stress over shear strain.
[[nodiscard]] CurvePlot curve_plot_of(const GradeTable& table);

} // namespace cellgrade
