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
    double relative_density = 0.0; ///< mean over the layers, measured, as printed
    double drawn_density = 0.0;    ///< the same as drawn
    std::vector<double> amounts;   ///< drawn offset or thickest diameter [m] at each layer's middle
};

/// Meshes the cells of a study as a solid, walls and struts thicker than drawn by
/// `thickness_offset` [m]. Errors (input): as printed_solid() and mesh_solid(); keys
/// that only beams have; walls below min_diameter_mm; a mesh whose volume misses that of the solid
/// by more than 1 %.
[[nodiscard]] SolidSpecimen build_solid(const SpecimenChoice& choice,
                                        const AnyCell& cell,
                                        double thickness_offset,
                                        const Log& log = {});

} // namespace cellgrade
