// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"

#include <cstdint>
#include <span>

namespace cellgrade {

/// Print scatter, the same for the same seed on every machine and for any order of evaluation.
struct Imperfections {
    /// Standard deviation of each coordinate of a joint, over the mean strut length of the cell.
    double node_offset = 0.0;
    /// Standard deviation of a strut's diameter, over its diameter.
    double diameter_scatter = 0.0;
    std::uint64_t seed = 0;

    /// Throws unless node_offset lies in [0, 0.2] and diameter_scatter in [0, 0.3]: beyond, struts
    /// of no length or thickness become possible.
    void check() const;
};

/// A normal number cut off at two standard deviations, of mean 0 and deviation 1 before the cut
/// (0.880 after it), from a key; a pure function of its arguments.
///
/// Source: mixing function of Steele, Lea and Flood 2014, OOPSLA (splitmix64, from memory) chained
/// over the key; Box and Muller 1958; rejection outside [-2, 2].
[[nodiscard]] double keyed_normal(std::uint64_t seed, std::span<const std::int64_t> key);

/// Moves the nodes of a specimen along a shape, such as a buckling mode, so that the largest move
/// is `amplitude` [m]. Nodes on the faces stay in them.
/// @param shape one vector a node, any scale, not all zero
void add_shape(BeamMesh& mesh, std::span<const Vec3> shape, double amplitude);

} // namespace cellgrade
