// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/cli/commands.hpp"
#include "solver/homogenize/crush_curve.hpp"
#include "solver/results/curve_csv.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// What the command line tells about the specimen of a measured curve, and how to correct it; SI.
struct MeasuredOptions {
    SpecimenSize size;
    std::optional<double> relative_density, solid_density_kg_per_m3;
    std::optional<double> frame_compliance_m_per_N;
    bool toe_correction = false;

    /// NaN where the command line does not tell.
    [[nodiscard]] SpecimenMass mass() const;
};

/// One correction that was made to a curve.
struct CurveCorrection {
    std::string name;    ///< frame_compliance, toe
    double strain_shift; ///< at the largest stress (frame) or everywhere (toe) [-]
    std::string text;    ///< for people
};

/// A measured curve as it is used.
struct MeasuredCurve {
    CrushCurve curve;
    std::vector<CurveCorrection> corrections;
    std::vector<std::string> notes; ///< of the reader
};

/// Adds --area-mm2, --height-mm, --relative-density, --density-kg-per-m3,
/// --frame-compliance-mm-per-N and --toe-correction. `options` must outlive the command.
void add_measured_options(CLI::App& command, MeasuredOptions& options);

/// Takes the frame and the toe out of a curve, in this order, as the options ask.
/// @throws Error (Input) when the frame's compliance is given without area or height, or a
///         correction cannot be made; `file` is named
[[nodiscard]] MeasuredCurve
corrected(ReadCurve read, const MeasuredOptions& options, const std::string& file);

} // namespace cellgrade
