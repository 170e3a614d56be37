// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/results/provenance.hpp"

#include <filesystem>

namespace cellgrade {

/// Writes a grade table, whole or not at all; schema "cellgrade/grade-table" 2.0.
///
///   /              schema, schema_version, study_name, caution, sign, axis_order, counts of cases
///                  by status
///   /traits        table, one row a case: cell, polymer, density, direction (three whole numbers
///                  and text), temperature, load, status, reason, all traits, those of shear too
///   /curves/NNNN/  nominal_strain, nominal_stress_Pa, of a sheared specimen also shear_strain and
///                  shear_stress_Pa; guards; the case as attributes
///   /uncertainty   table, one row a case and trait: combined and by part, in the trait's unit
///   /stiffness/    cases (table) and tensor_Pa [case, 6, 6]; order xx yy zz yz xz xy
///   /scaling       table, one power law a row
///   /grid/         nominal_stress_Pa [density, direction, rate, temperature, strain] with its
///                  scales, where the cases fill one; else the attribute `absent_because`
///   /definitions   one attribute a column
///   /provenance    never with /provenance/run: a table made by a resumed study has the bytes of
///                  one made at a stretch
///
/// NNNN is the row of the case in /traits, from 0001. Every dataset has the attribute `units`.
/// @throws Error for a table that `check_grade_table` refuses
void write_grade_table(const std::filesystem::path& path,
                       const GradeTable& table,
                       const Provenance& provenance);

/// Reads a grade table of this or an older version; a newer minor version is read as far as this
/// program knows it, a newer major version is refused with both numbers. What an older version did
/// not hold is NaN or empty.
[[nodiscard]] GradeTable read_grade_table(const std::filesystem::path& path);

/// The table's provenance alone.
[[nodiscard]] Provenance read_grade_table_provenance(const std::filesystem::path& path);

} // namespace cellgrade
