// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/choice/drop_injury.hpp"
#include "solver/crush/drop_record.hpp"
#include "solver/results/provenance.hpp"

#include <filesystem>

namespace cellgrade {

/// Everything that the result file of one drop holds.
struct DropResult {
    DropRecord record; ///< its frames go into a .vtkhdf file of their own
    DropInjury injury;
    SpecimenMesh mesh;
    Provenance provenance;
};

/// Writes the result file, whole or not at all; schema "cellgrade/drop" 1.0.
///
///   /            schema, schema_version, verdict, verdict_text, caution, end, failure, notes,
///                past_densification, and one attribute a scalar of the record, unit in its name
///   /history/*   1-D f8 over scale time_s
///   /traits      table of one row; attribute definitions in field order
///   /injury      attributes hic15, hic36, severity_index; NaN where not known
///   /guards      table
///   /print       one attribute a value of PrintRecord
///   /mesh/       see write_mesh
///   /provenance  see write_provenance
void write_drop_file(const std::filesystem::path& path, const DropResult& result);

/// Reads what `write_drop_file` wrote; frames are empty.
[[nodiscard]] DropResult read_drop_file(const std::filesystem::path& path);

} // namespace cellgrade
