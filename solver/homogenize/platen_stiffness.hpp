// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"
#include "solver/core/types.hpp"

namespace cellgrade {

/// How the end faces of a specimen hold to the platens.
enum class PlatenFaces {
    Bonded,    ///< no sliding
    Lubricated ///< free sliding, no lifting off
};

/// Small-strain answer of a specimen between two rigid platens.
struct PlatenStiffness {
    double modulus = 0.0;          ///< force / (gross area x nominal strain) [Pa]
    double relative_density = 0.0; ///< volume of the elements / volume of the box
    Index iterations = 0;          ///< of the linear solver
};

/// Apparent modulus of a solid specimen pressed along z, sides free or as the mesh repeats.
///
///   E_a = F_z / (box.x box.y e) = u^T K u / (V e^2)      e = shortening / box.z
///
/// Linear solution of TetSolver on the mesh of a crush. Two nodes of the lower face are held
/// against sliding and turning where the faces are lubricated; the forces there are zero, because
/// nothing else acts sideways.
/// @param youngs   of the polymer, above 0 [Pa]
/// @param poisson  in (-1, 0.5)
/// @throws Error (Input) for bad moduli, or a mesh without nodes on its lower or upper face; (Run)
///         as TetSolver
[[nodiscard]] PlatenStiffness
platen_stiffness(const TetMesh& mesh, double youngs, double poisson, PlatenFaces faces);

} // namespace cellgrade
