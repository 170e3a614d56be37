// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/crush/crush_record.hpp"
#include "solver/homogenize/crush_curve.hpp"
#include "solver/results/provenance.hpp"

#include <filesystem>
#include <string>

namespace cellgrade {

/// Everything that the result file of one crush holds.
struct CrushResult {
    CrushRecord record; ///< its frames go into a .vtkhdf file of their own
    CrushCurve curve;
    CrushTraits traits;
    SpecimenMesh mesh;
    Provenance provenance;
};

/// "trusted: ..." or "untrusted: ..." in plain words, with every enforced limit that was not met.
[[nodiscard]] std::string verdict_text(const CrushRecord& record);

/// target_strain, stress_rise, unloaded, failed or interrupted.
[[nodiscard]] std::string crush_end_name(CrushEnd end);

/// Writes the result file, whole or not at all; schema "cellgrade/crush" 1.1.
///
///   /            schema, schema_version, verdict, verdict_text, caution, end, failure, notes, and
///                one attribute a scalar of the record, unit in its name
///   /history/*   1-D f8 over scale time_s
///   /curve/      nominal_strain, nominal_stress_Pa; attribute turn
///   /traits      table of one row; attribute definitions in field order
///   /guards      table
///   /print       one attribute a value of PrintRecord; absent before 1.1
///   /mesh/       see write_mesh
///   /provenance  see write_provenance
void write_crush_file(const std::filesystem::path& path, const CrushResult& result);

/// Reads what `write_crush_file` wrote; frames are empty.
[[nodiscard]] CrushResult read_crush_file(const std::filesystem::path& path);

} // namespace cellgrade
