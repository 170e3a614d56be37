// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/tets/linear_tets.hpp"

namespace cellgrade {

/// Moves nodes so that flat tetrahedra, which shorten the time step of all, become higher, and
/// dihedral angles below 20 degrees wider.
///
/// A node with such a tetrahedron tries steps along the axes and away from the far face of its
/// lowest one, halved until they help; a step stands when the lowest height around the node grows
/// and the smallest dihedral angle stays at 20 degrees or does not fall, or the other way round.
/// Surface nodes are put back on the zero set, nodes on sides stay in them, periodic copies move
/// together. One thread, fixed order: same mesh on every run.
/// @param wanted  height [m]
/// @param sweeps  over all nodes, at least 1
/// @return number of moves that stood
Index improve_tets(LinearTets& mesh, const ImplicitSolid& solid, double wanted, int sweeps);

} // namespace cellgrade
