// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/body.hpp"

namespace cellgrade {

std::vector<NodeInertia> Body::node_inertia() const {
    if (const BeamBody* b = beams())
        return make_node_inertia(b->mass().mass, b->mass().inertia);
    return make_node_inertia(solid()->mass().node);
}

const std::vector<double>& Body::node_mass() const {
    return beams() != nullptr ? beams()->mass().mass : solid()->mass().node;
}

double Body::total_mass() const {
    return beams() != nullptr ? beams()->mass().total : solid()->mass().total;
}

double Body::added_inertia() const {
    return beams() != nullptr ? beams()->mass().added_rotary
                              : solid()->mass().added / solid()->mass().total;
}

} // namespace cellgrade
