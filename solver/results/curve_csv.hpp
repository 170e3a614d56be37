// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// Size of the specimen, for files that hold force and displacement.
struct SpecimenSize {
    std::optional<double> gross_area_m2;
    std::optional<double> height_m;
};

/// A compression curve from a file, and what was detected on the way.
struct ReadCurve {
    CrushCurve curve;
    std::vector<std::string> notes; ///< to be shown to the user, one line each
};

/// Reads a measured or computed compression curve from delimited text.
///
/// Needs a header row that names the columns. Strain (fraction or per cent) or displacement (mm, m,
/// um) with the height; stress (Pa, kPa, MPa, GPa, N/mm^2, psi) or force (N, kN) with the area.
/// Units stand in the names (`nominal_stress_MPa`, `Stress [MPa]`) or in a second header row.
///
///   nominal strain = displacement / height      nominal stress = force / gross area
///
/// Compression counted negative is turned round, rows that step back by less than 1 % of the strain
/// range are dropped, a falling strain after the largest one is taken as unloading; each is noted.
/// Errors (file:line): see read_text_table; two columns for one quantity; true or logarithmic
/// measures only; a missing unit; strain that could be per cent or a fraction; a value that is not
/// a finite number; fewer than two rows; several load cycles.
[[nodiscard]] ReadCurve read_curve_csv(const std::filesystem::path& path, const SpecimenSize& size);

/// The same from text; `file` stands for the file in errors.
[[nodiscard]] ReadCurve
parse_curve_csv(const std::string& text, const std::string& file, const SpecimenSize& size);

} // namespace cellgrade
