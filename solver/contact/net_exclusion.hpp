// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/contact/pair_search.hpp"

#include <vector>

namespace cellgrade {

/// Two elements that overlap in the reference shape though no joint explains it: struts that cross
/// without a node. They never make contact.
struct InitialOverlap {
    Index first = no_index;
    Index second = no_index;
    std::array<Index, 3> shift{}; ///< boxes by which `second` is moved
    Vec3 place = Vec3::Zero();    ///< middle of the closest points [m]
    double depth = 0.0;           ///< r_a + r_b - D [m], > 0
};

/// Pairs that never make contact.
struct NetExclusion {
    std::vector<PairKey> pairs;                   ///< sorted
    std::vector<InitialOverlap> initial_overlaps; ///< sorted by pair
};

/// Which pairs are left out of self-contact, from the reference shape.
///
/// 1. Near along the net: the shortest path along the centre lines between the nearest ends is
///    below pi/2 (r_a + r_b), the inner half turn of a hairpin whose legs touch. Pairs that share a
///    node have path 0.
/// 2. Joint overlap: D - (r_a + r_b) < gap_share (r_a + r_b) in the reference shape, and the pair
/// is
///    linked to a pair that shares a node through such pairs, one element exchanged for its
///    neighbour along the net at a time. So struts leaving a joint at a sharp angle are free of
///    contact as far out as they touch at the start, and no further.
/// 3. Unexplained overlap: D < r_a + r_b and neither of the above. Reported.
///
/// All three are left out for good. Every other pair makes contact, whatever its place in the net.
/// @param capsules  reference shape  @param space  its margin is not read
[[nodiscard]] NetExclusion net_exclusion(const BeamMesh& mesh,
                                         std::span<const Capsule> capsules,
                                         SearchSpace space,
                                         double gap_share);

} // namespace cellgrade
