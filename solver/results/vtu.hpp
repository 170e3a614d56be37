// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/specimens/specimen_mesh.hpp"

#include <string>

namespace cellgrade {

/// A beam mesh as XML UnstructuredGrid (.vtu), for viewers too old for VTKHDF: ASCII, float32
/// points, line cells, point array radius_m, cell array strut; ghosts as in `line_grid`. Hand the
/// text to `publish_text`.
///
/// Source: VTK file formats, XML section "UnstructuredGrid".
[[nodiscard]] std::string vtu_text(const BeamMesh& mesh);

/// The same for tetrahedra: quadratic cells (type 24).
[[nodiscard]] std::string vtu_text(const TetMesh& mesh);

[[nodiscard]] std::string vtu_text(const SpecimenMesh& mesh);

} // namespace cellgrade
