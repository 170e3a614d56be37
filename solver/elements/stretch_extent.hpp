// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/elements/fibre_block.hpp"
#include "solver/elements/node_arrays.hpp"
#include "solver/elements/tet_block.hpp"

#include <span>

namespace cellgrade {

/// Stretches for which a law was measured.
struct StretchLimits {
    double min = 0.0; ///< [-]
    double max = 0.0; ///< [-]
};

/// Stretches that the material of a body sees.
struct StretchExtent {
    double least = 1.0;         ///< [-]
    double largest = 1.0;       ///< [-]
    double share_outside = 0.0; ///< volume of the elements that reach outside the limits / all [-]
};

/// Of beams: the outermost fibres, 1 + Gamma1 -+ r |kappa|, at the last beam_forces.
[[nodiscard]] StretchExtent stretch_extent(const FibreBlock& block, const StretchLimits& limits);

/// Of solids: principal stretches at the four points of each element as it lies at x.
[[nodiscard]] StretchExtent
stretch_extent(const TetBlock& block, std::span<const NodePoint> x, const StretchLimits& limits);

} // namespace cellgrade
