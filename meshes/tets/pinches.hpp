// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/linear_tets.hpp"

namespace cellgrade {

/// Makes the surface watertight where two parts of a solid touch along an edge of the mesh alone,
/// so that four faces meet there: of the bundles of tetrahedra about such an edge the smaller are
/// taken away, until no edge is left with more than two faces, sides glued where they are
/// periodic. Nodes laid bare go onto the zero set where it is near.
/// @return tetrahedra taken away
Index remove_pinches(LinearTets& mesh, const ImplicitSolid& solid, double cube);

} // namespace cellgrade
