// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/print/print_label.hpp"
#include "meshes/print/print_surface.hpp"

#include <filesystem>

namespace cellgrade {

/// Writes a surface as a 3MF package: one object, unit millimeter, points as the shortest decimals
/// that read back to the same single-precision numbers, and the label as metadata.
///
/// The file appears whole or not at all; the same input gives the same bytes. About 3 s a million
/// triangles, most of it compression.
/// Source: 3MF Consortium, 3MF Core Specification, version 1.
void write_3mf(const std::filesystem::path& path,
               const PrintSurface& surface,
               const PrintLabel& label);

/// Writes a beam mesh as a 3MF beam lattice: round beams with spherical ends, each with its radius.
/// Readers that do not know the extension must refuse the file.
///
/// Beams that cross a periodic side end where they do, beyond the box; the whole is moved into the
/// positive octant.
/// Source: 3MF Consortium, 3MF Beam Lattice Extension 1.2.0, namespace of 2017/02.
void write_3mf_lattice(const std::filesystem::path& path,
                       const BeamMesh& mesh,
                       const PrintLabel& label);

} // namespace cellgrade
