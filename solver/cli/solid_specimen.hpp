// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/any_cell.hpp"
#include "meshes/quality/tet_quality.hpp"
#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/tet_mesh.hpp"
#include "solver/cli/study.hpp"
#include "solver/core/log.hpp"

#include <vector>

namespace cellgrade {

/// A solid specimen of a study and what was chosen for it.
struct SolidSpecimen {
    ImplicitSolid solid;
    TetMesh mesh;
    double relative_density = 0.0; ///< mean over the layers, measured
    std::vector<double> amounts;   ///< offset or thickest diameter [m] at the middle of each layer
};

/// Meshes the cells of a study as a solid. Errors (input): as tiled_solid() and mesh_solid(); keys
/// that only beams have; walls below min_diameter_mm; a mesh whose volume misses that of the solid
/// by more than 1 %.
[[nodiscard]] SolidSpecimen
build_solid(const SpecimenChoice& choice, const AnyCell& cell, const Log& log = {});

} // namespace cellgrade
