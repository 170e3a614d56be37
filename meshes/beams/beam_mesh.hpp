// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// One two-node beam of a round strut. End b lies at nodes[b] + image_b * box (component-wise).
struct BeamElement {
    Index a = no_index;
    Index b = no_index;
    Vec3i image_b = Vec3i::Zero(); ///< non-zero only along periodic axes of the specimen
    double radius = 0.0;           ///< [m]
    double stiffness_factor = 1.0; ///< >= 1 in joint zones; multiplies EA, GA, EI, GJ
    double mass_factor = 1.0; ///< <= 1 in joint zones, so that the mass is that of the true union
    Index strut = no_index;   ///< which strut of the specimen this element is a part of
};

/// A specimen as beams, ready to be crushed along z; z = 0 is the lower face, z = box.z the upper.
struct BeamMesh {
    std::vector<Vec3> nodes;           ///< [m], inside the box
    std::vector<bool> is_joint;        ///< one a node: an end of struts (not a subdivision point)
    std::vector<BeamElement> elements; ///< sorted by strut, then along the strut
    Vec3 box = Vec3::Zero();           ///< gross size of the specimen [m]
    std::array<bool, 3> periodic{};    ///< along x, y, z
    std::vector<Index> bottom;         ///< nodes on the lower face, ascending
    std::vector<Index> top;            ///< nodes on the upper face, ascending
    double solid_volume = 0.0;         ///< volume of the union of the round struts [m^3]
    double centre_line_volume = 0.0;   ///< sum of A L over struts, overlaps counted twice [m^3]
};

} // namespace cellgrade
