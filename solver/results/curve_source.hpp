// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/homogenize/crush_curve.hpp"
#include "solver/results/curve_csv.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// A curve from a result of ours or from a CSV file, and what is known about it.
struct SourcedCurve {
    CrushCurve curve;
    SpecimenMass mass; ///< NaN where the source does not tell
    std::string label; ///< what was crushed; the file's name for a CSV
    bool trusted = true;
    std::string reason;             ///< why it is not trusted
    std::vector<std::string> notes; ///< what was detected on the way
};

/// Reads a crush result (HDF5), one row of a grade table (HDF5), or a curve in a CSV file; which of
/// them it is, the file tells: an HDF5 file begins with its signature.
///
/// A CSV of ours whose comments say "untrusted" is not trusted.
/// @param row  of a grade table, from 1; needed unless it has one row only
/// @param size for a CSV of forces or displacements
/// @throws Error (Input) for a row where there is no table, or a row outside it, which then lists
///         the rows; as the readers of each kind
[[nodiscard]] SourcedCurve read_any_curve(const std::filesystem::path& path,
                                          std::optional<Index> row,
                                          const SpecimenSize& size);

} // namespace cellgrade
