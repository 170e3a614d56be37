// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_record.hpp"
#include "solver/crush/drop_record.hpp"
#include "solver/grades/grade_table.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <span>
#include <string>
#include <vector>

namespace cellgrade {

// Text of CSV files: UTF-8 without byte order mark, comma, decimal point, line feed, one header
// row, comment lines `# ...` only before it, shortest numbers that read back to the same bits, NaN
// as an empty cell, text quoted where RFC 4180 asks for it. Hand the text to `publish_text`.

/// nominal_strain, nominal_stress_MPa, unloading (0 or 1), of a sheared specimen also shear_strain
/// and shear_stress_MPa.
/// @param comments lines before the header, without their `#`
[[nodiscard]] std::string curve_csv(const CrushCurve& curve,
                                    const std::vector<std::string>& comments);

/// All columns of the history in SI, named as in the struct.
[[nodiscard]] std::string history_csv(const CrushHistory& history,
                                      const std::vector<std::string>& comments);

/// All columns of a drop's history in SI, named as in the struct.
[[nodiscard]] std::string drop_csv(const DropHistory& history,
                                   const std::vector<std::string>& comments);

/// One row a case: the case, status, reason and all traits in SI, those of shear too.
[[nodiscard]] std::string traits_csv(const GradeTable& table,
                                     const std::vector<std::string>& comments);

/// One row a case and trait, long form: case number (from 1), case, status, trait with its unit,
/// value, and its standard uncertainty combined and by part. Traits of shear where there is shear.
[[nodiscard]] std::string long_traits_csv(const GradeTable& table,
                                          const std::vector<std::string>& comments);

/// One row a point of every curve, long form: case number (from 1), case, status, curve point.
[[nodiscard]] std::string curves_csv(const GradeTable& table,
                                     const std::vector<std::string>& comments);

/// One column of the crush history: name (ends in its unit), units, values.
struct HistoryField {
    const char* name;
    const char* units;
    std::vector<double> CrushHistory::*member;
};

/// All columns of a history in file order; the first, time_s, is the axis of the others.
[[nodiscard]] std::span<const HistoryField> history_fields();

} // namespace cellgrade
