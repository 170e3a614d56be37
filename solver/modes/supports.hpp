// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/core/types.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// Held degrees of freedom of a node: displacements x y z, rotations x y z.
struct NodeSupport {
    Index node = no_index;
    std::array<bool, 6> held{};
};

enum class Bonded {
    Nowhere,  ///< the specimen floats: six (fewer when periodic) motions without strain
    Bottom,   ///< lower face glued to a fixed platen
    BothFaces ///< lower and upper face glued to platens
};

/// Supports that hold every degree of freedom of the nodes on the bonded faces.
[[nodiscard]] std::vector<NodeSupport> bonded_supports(const BeamMesh& mesh, Bonded bonded);

} // namespace cellgrade
