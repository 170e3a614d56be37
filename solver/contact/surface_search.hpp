// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/contact_surface.hpp"
#include "solver/contact/pair_search.hpp"
#include "solver/contact/surface_pair.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Keys of surface pairs number the primitives through: vertices first, then edges, then triangles.
/// A vertex comes with a triangle (first < second), an edge with an edge.
[[nodiscard]] inline Index edge_key(const ContactSurface& surface, Index edge) {
    return surface.n_vertices() + edge;
}
[[nodiscard]] inline Index triangle_key(const ContactSurface& surface, Index triangle) {
    return surface.n_vertices() + surface.n_edges() + triangle;
}

/// The four vertices of a keyed pair with their images; layer and stiffness stay zero.
[[nodiscard]] SurfacePair surface_pair(const ContactSurface& surface, const PairKey& key);

/// All pairs of a vertex and a triangle, and of two edges, that share no vertex and are nearer than
/// the layer of the pair, the least of its four vertices, plus the margin; sorted by key.
///
/// Balls around edges and triangles in a uniform grid (ball_grid.hpp); fixed chunks search in
/// parallel and are joined in order, so the list is the same for any number of threads. Linear in
/// the surface as long as its edges are alike in length.
/// @param x  vertices now [m]  @param layer  one a vertex [m]  @param box  now [m]
/// @param n_tested  if not null, receives the number of ball tests made
[[nodiscard]] std::vector<PairKey> find_surface_pairs(const ContactSurface& surface,
                                                      std::span<const Vec3> x,
                                                      std::span<const double> layer,
                                                      const Vec3& box,
                                                      double margin,
                                                      std::size_t* n_tested = nullptr);

} // namespace cellgrade
