// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/grades/grade_table.hpp"
#include "solver/results/provenance.hpp"

#include <filesystem>

namespace cellgrade {

/// Writes a grade table, whole or not at all; schema "cellgrade/grade-table" 1.0.
///
///   /                schema, schema_version, study_name, caution, counts of cases by status
///   /traits          table, one row a case: case, status, reason, all traits
///   /curves/NNNN/    nominal_strain, nominal_stress_Pa, guards; the case as attributes
///   /definitions     one attribute a trait
///   /provenance      never with /provenance/run: a table made by a resumed study has the bytes of
///                    one made at a stretch
///
/// NNNN is the row of the case in /traits, from 0001.
/// @throws Error for a table that `check_grade_table` refuses
void write_grade_table(const std::filesystem::path& path,
                       const GradeTable& table,
                       const Provenance& provenance);

/// Reads what `write_grade_table` wrote.
[[nodiscard]] GradeTable read_grade_table(const std::filesystem::path& path);

/// The table's provenance alone.
[[nodiscard]] Provenance read_grade_table_provenance(const std::filesystem::path& path);

} // namespace cellgrade
