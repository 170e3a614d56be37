// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/linear_tets.hpp"

namespace cellgrade {

/// What drop_small_parts() took away.
struct DroppedParts {
    Index parts = 0;
    double volume_share = 0.0; ///< of all the mesh
};

/// Keeps the largest part of a mesh that hangs together over nodes, periodic copies too, and drops
/// the rest with the nodes that nothing uses any more. Numbers stay in order.
DroppedParts drop_small_parts(LinearTets& mesh);

} // namespace cellgrade
