// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_net.hpp"

#include <vector>

namespace cellgrade {

/// A strut near another one, placed in space (a periodic copy where needed).
struct RodNeighbour {
    Index strut = no_index;
    Vec3 from = Vec3::Zero();  ///< its first end [m]
    Vec3 along = Vec3::Zero(); ///< from its first to its second end [m]
    double gap = 0.0;          ///< least distance of the two axes [m]
};

/// For each strut, all other struts and periodic copies whose rounded bodies, with radii times
/// `scale`, come nearer than touching. Sorted by strut, then by copy. Sweep along the third lattice
/// vector, then exact segment distances.
[[nodiscard]] std::vector<std::vector<RodNeighbour>> rod_neighbours(const StrutNet& net,
                                                                    double scale);

} // namespace cellgrade
