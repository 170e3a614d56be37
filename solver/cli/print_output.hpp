// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/print/print_label.hpp"
#include "meshes/solids/print_check.hpp"
#include "meshes/specimens/specimen_mesh.hpp"
#include "solver/core/log.hpp"

#include <string>

namespace cellgrade {

/// Whether a file of that name is one for the printer: .stl or .3mf.
[[nodiscard]] bool is_print_file(const std::string& file);

/// Refuses a file for the printer that a mesh of beams cannot give: beams have no surface, and a
/// 3MF of beams must end in -beams.3mf.
void require_print_model(const std::string& file, bool is_solid);

/// Writes a mesh for the printer: the closed surface of tetrahedra as STL or 3MF, beams as a 3MF
/// beam lattice. Errors (input): as print_surface(); cannot be written.
void write_print_file(const std::string& file,
                      const SpecimenMesh& mesh,
                      const PrintLabel& label,
                      const Log& log);

/// Checks a solid against the limits, and warns in the log of each fault.
[[nodiscard]] PrintCheck
checked_print(const ImplicitSolid& solid, const PrintLimits& limits, const Log& log);

} // namespace cellgrade
