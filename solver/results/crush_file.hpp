// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
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
    BeamMesh mesh;
    Provenance provenance;
};

/// "trusted: ..." or "untrusted: ..." in plain words, with every enforced limit that was not met.
[[nodiscard]] std::string verdict_text(const CrushRecord& record);

/// target_strain, stress_rise, unloaded, failed or interrupted.
[[nodiscard]] std::string crush_end_name(CrushEnd end);

/// Writes the result file, whole or not at all; schema "cellgrade/crush" 1.0.
///
///   /            schema, schema_version, verdict, verdict_text, caution, end, failure, notes, and
///                one attribute a scalar of the record, unit in its name
///   /history/*   1-D f8 over scale time_s
///   /curve/      nominal_strain, nominal_stress_Pa; attribute turn
///   /traits      table of one row; attribute definitions in field order
///   /guards      table
///   /mesh/       nodes_m [n,3], elements [m,2], image_b [m,3], radius_m [m], stiffness_factor [m],
///                mass_factor [m], strut [m], is_joint [n], bottom, top; box_x_m, box_y_m,
///                box_z_m, periodic and volumes as attributes
///   /provenance  see write_provenance
void write_crush_file(const std::filesystem::path& path, const CrushResult& result);

/// Reads what `write_crush_file` wrote; frames are empty.
[[nodiscard]] CrushResult read_crush_file(const std::filesystem::path& path);

} // namespace cellgrade
