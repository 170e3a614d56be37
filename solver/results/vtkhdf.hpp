// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/crush/crush_record.hpp"

#include <filesystem>
#include <vector>

namespace cellgrade {

/// Writes the saved shapes of a crush for viewers that read VTKHDF 2.0 (temporal
/// UnstructuredGrid), whole or not at all; extension .vtkhdf.
///
/// Topology once, current positions a frame as float32, cell array stored_energy_J; time values in
/// seconds. Beams are lines (type 3) with point array radius_m and cell array axial_force_N; one
/// that crosses a periodic face ends at a ghost point beyond it. Solids are quadratic tetrahedra
/// (type 24). Group /cellgrade, which viewers skip, holds the
/// nominal strain of each frame and the caution. 12 bytes a point and 8 bytes a beam and frame
/// before compression.
///
/// Source: VTKHDF file format 2.0, UnstructuredGrid and temporal data, constant topology.
/// @throws Error (Input) without frames, or for arrays of the wrong length
void write_vtkhdf_frames(const std::filesystem::path& path,
                         const SpecimenMesh& mesh,
                         const std::vector<CrushFrame>& frames);

/// Writes a mesh alone as static VTKHDF; beams with radius_m and a cell array strut.
void write_vtkhdf_mesh(const std::filesystem::path& path, const SpecimenMesh& mesh);

} // namespace cellgrade
