// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace cellgrade {

/// Which nodes of a grid count as joined.
enum class Joined {
    Faces,     ///< six neighbours: boxes that share a face
    Diagonals, ///< fourteen: the edges of six tetrahedra a box, so that the pieces of both f < t
               ///< and f >= t are those of the function that is linear in each tetrahedron
};

/// A connected set of marked grid nodes.
struct GridPiece {
    Index n_nodes = 0;
    int winding = 0;               ///< independent directions in which it meets its periodic images
    std::array<bool, 6> on_face{}; ///< touches x low, x high, y low ..; not along periodic axes

    [[nodiscard]] bool on_any_face() const {
        for (const bool on : on_face)
            if (on)
                return true;
        return false;
    }
};

struct GridPieces {
    std::vector<Index> piece_of; ///< one a node; no_index where not marked
    std::vector<GridPiece> pieces;
};

/// Connected pieces of the marked nodes of a grid of counts.x * counts.y * counts.z nodes, x
/// fastest; along a periodic axis the last node is beside the first. Each piece is numbered by its
/// first node. Flood fill that carries the periodic image along: where it meets itself in another
/// image, the difference is a direction in which the piece is endless. Cost: about 0.1 us a node.
[[nodiscard]] GridPieces find_pieces(const Vec3i& counts,
                                     const std::array<bool, 3>& periodic,
                                     std::span<const std::uint8_t> marked,
                                     Joined joined);

} // namespace cellgrade
