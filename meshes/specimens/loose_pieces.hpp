// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/strut_net.hpp"

namespace cellgrade {

/// What was taken out of a net because it hung together with nothing else.
struct LoosePieces {
    Index pieces = 0;
    Index struts = 0;
    double length_share = 0.0; ///< of all struts of the net before
};

/// Keeps the connected part with the largest strut length; also drops nodes without struts, and
/// keeps the order of the rest.
LoosePieces drop_loose_pieces(StrutNet& net);

} // namespace cellgrade
