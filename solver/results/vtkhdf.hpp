// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/crush/crush_record.hpp"

#include <filesystem>
#include <vector>

namespace cellgrade {

/// Writes the saved shapes of a crush for viewers that read VTKHDF 2.0 (temporal
/// UnstructuredGrid), whole or not at all; extension .vtkhdf.
///
/// Topology once (line cells, type 3), current positions a frame as float32; point array radius_m,
/// cell arrays stored_energy_J and axial_force_N; time values in seconds. A beam that crosses a
/// periodic face ends at a ghost point beyond it. Group /cellgrade, which viewers skip, holds the
/// nominal strain of each frame and the caution. 12 bytes a point and 8 bytes a beam and frame
/// before compression.
///
/// Source: VTKHDF file format 2.0, UnstructuredGrid and temporal data, constant topology.
/// @throws Error (Input) without frames, or for arrays of the wrong length
void write_vtkhdf_frames(const std::filesystem::path& path,
                         const BeamMesh& mesh,
                         const std::vector<CrushFrame>& frames);

/// Writes a beam mesh alone as static VTKHDF: points, lines, radius_m, and a cell array strut.
void write_vtkhdf_mesh(const std::filesystem::path& path, const BeamMesh& mesh);

} // namespace cellgrade
