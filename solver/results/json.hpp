// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/drop_against_table.hpp"
#include "solver/choice/drop_injury.hpp"
#include "solver/crush/crush_record.hpp"
#include "solver/crush/drop_record.hpp"
#include "solver/grades/grade_table.hpp"
#include "solver/homogenize/crush_curve.hpp"

#include <string>
#include <vector>

namespace cellgrade {

// JSON text, keys in a fixed order and ending in their unit, NaN as null, two blanks of indent, no
// newline at the end. Bytes that are not UTF-8 become U+FFFD.

/// Arrays nominal_strain and nominal_stress_Pa, and turn.
[[nodiscard]] std::string to_json(const CrushCurve& curve);
/// One number a trait.
[[nodiscard]] std::string to_json(const CrushTraits& traits);
/// A list of objects.
[[nodiscard]] std::string to_json(const std::vector<GuardResult>& guards);
/// Schema "cellgrade/grade-table" 2.0, the caution, and lists: cases with traits, uncertainty,
/// guards and curve; stiffness; scaling. The same numbers as in the HDF5 file.
[[nodiscard]] std::string to_json(const GradeTable& table);
/// Schema "cellgrade/crush": verdict, caution, specimen, guards, notes, traits and curve.
[[nodiscard]] std::string
to_json(const CrushRecord& record, const CrushTraits& traits, const CrushCurve& curve);
/// Schema "cellgrade/drop": verdict, caution, pad, striker, guards, notes, traits, injury criteria
/// and history; the same blow by a grade table where there is one.
[[nodiscard]] std::string to_json(const DropRecord& record,
                                  const DropInjury& injury,
                                  const DropAgainstTable* against = nullptr);

} // namespace cellgrade
