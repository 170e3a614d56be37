// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/tets/tet_mesh.hpp"

#include <array>
#include <vector>

namespace cellgrade {

/// A vertex of the surface moved by `image` boxes.
struct SurfaceCorner {
    Index vertex = no_index;
    std::array<Index, 3> image{};

    auto operator<=>(const SurfaceCorner&) const = default;
};

/// The surface of a tetrahedral mesh as vertices, edges and flat triangles, for contact.
///
/// Each face of six nodes becomes four triangles between its corners and edge middles. Copies on
/// far periodic sides are the same vertex as their originals, one box away; an edge that appears
/// on both sides counts once.
struct ContactSurface {
    std::vector<Index> nodes;                            ///< mesh node of each vertex, ascending
    std::vector<Vec3> x;                                 ///< reference position [m]
    std::vector<double> area;                            ///< third of the triangles around [m^2]
    std::vector<double> edge_length;                     ///< mean of the edges at the vertex [m]
    std::vector<std::array<SurfaceCorner, 2>> edges;     ///< sorted; the first with image 0
    std::vector<std::array<SurfaceCorner, 3>> triangles; ///< the first with image 0
    Vec3 box = Vec3::Zero();                             ///< [m]
    std::array<bool, 3> periodic{};

    [[nodiscard]] Index n_vertices() const { return static_cast<Index>(nodes.size()); }
    [[nodiscard]] Index n_edges() const { return static_cast<Index>(edges.size()); }
    [[nodiscard]] Index n_triangles() const { return static_cast<Index>(triangles.size()); }
};

/// Throws an input Error for faces outside the mesh, copies that do not fit, or an edge of no
/// length. Cost: a sort of the edges.
[[nodiscard]] ContactSurface contact_surface(const TetMesh& mesh);

/// images * box, but exactly zero (not NaN) along axes without an image.
template <class Images>
[[nodiscard]] Vec3 moved_by(const Images& images, const Vec3& box) {
    Vec3 by = Vec3::Zero();
    for (int i = 0; i < 3; ++i)
        by[i] = images[i] != 0 ? images[i] * box[i] : 0.0;
    return by;
}

} // namespace cellgrade
