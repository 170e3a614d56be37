// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/print/print_label.hpp"
#include "meshes/solids/print_check.hpp"
#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/cli/solid_specimen.hpp"
#include "solver/cli/study.hpp"
#include "solver/core/log.hpp"

#include <cmath>
#include <string>
#include <vector>

namespace cellgrade {

/// Whether a file of that name is one for the printer: .stl or .3mf.
[[nodiscard]] bool is_print_file(const std::string& file);

/// Writes a specimen for the printer, into each of the files: the closed surface of tetrahedra or
/// of round struts (strut_surface()) as STL or plain 3MF; beams in a file that ends in -beams.3mf
/// as a 3MF beam lattice. Errors (input): as print_surface(); cannot be written. Warns of a part in
/// several pieces and of voids closed in.
/// @param most_stl_bytes  no surface is written whose STL would be larger; told in the log
/// @return the files that were written
std::vector<std::string> write_print_files(const std::vector<std::string>& files,
                                           const SpecimenMesh& mesh,
                                           const PrintLabel& label,
                                           const Log& log,
                                           double most_stl_bytes = HUGE_VAL);

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
