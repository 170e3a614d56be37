// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/print/print_label.hpp"
#include "meshes/solids/print_check.hpp"
#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/cli/solid_specimen.hpp"
#include "solver/cli/study.hpp"
#include "solver/core/log.hpp"

#include <string>

namespace cellgrade {

/// Whether a file of that name is one for the printer: .stl or .3mf.
[[nodiscard]] bool is_print_file(const std::string& file);

/// Refuses a file for the printer that a mesh of beams cannot give: beams have no surface, and a
/// 3MF of beams must end in -beams.3mf.
void require_print_model(const std::string& file, bool is_solid);

/// Writes a mesh for the printer: the closed surface of tetrahedra as STL or 3MF, beams as a 3MF
/// beam lattice. Errors (input): as print_surface(); cannot be written. Warns of
/// a part in several pieces and of voids closed in.
void write_print_file(const std::string& file,
                      const SpecimenMesh& mesh,
                      const PrintLabel& label,
                      const Log& log);

/// What one cell of the endless lattice shows of a solid specimen, measured on a grid of at most a
/// million boxes: the thinnest layer for wall and loose pieces, the densest for opening and voids.
/// Where the grid is too coarse for the wall, the specimen's own first-order estimate stands for
/// it. Warns in the log of each fault. A few seconds.
[[nodiscard]] PrintCheck check_cells(const AnyCell& cell,
                                     const SpecimenChoice& choice,
                                     const SolidSpecimen& specimen,
                                     const PrintLimits& limits,
                                     const Log& log);

} // namespace cellgrade
