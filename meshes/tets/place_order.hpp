// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/linear_tets.hpp"

namespace cellgrade {

/// Sorts the tetrahedra along a Hilbert curve through the middles of their boxes of `cube` and
/// numbers the nodes by first use, so that what lies together is close in memory: the force loop
/// then finds its nodes in the cache, and runs of elements share few nodes with others.
/// Source: Hilbert (1891), Math. Annalen 38:459; the turns of the axes after Skilling (2004), AIP
/// Conf. Proc. 707:381 (from memory).
void sort_by_place(LinearTets& mesh, double cube);

} // namespace cellgrade
