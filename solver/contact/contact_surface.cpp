// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/contact_surface.hpp"

#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

namespace {

// The original of every mesh node and the boxes it is away.
std::vector<SurfaceCorner> originals(const TetMesh& mesh) {
    const auto n = static_cast<Index>(mesh.nodes.size());
    std::vector<SurfaceCorner> original(mesh.nodes.size());
    for (Index i = 0; i < n; ++i)
        original[i].vertex = i;
    for (const NodeCopy& copy : mesh.copies) {
        CELLGRADE_CHECK(copy.node >= 0 && copy.node < n && copy.original >= 0 && copy.original < n,
                        "contact: node {} copies node {}; there are {} nodes", copy.node,
                        copy.original, n);
        for (int i = 0; i < 3; ++i)
            CELLGRADE_CHECK(mesh.periodic[i] || copy.image[i] == 0,
                            "contact: node {} is {} boxes away along axis {}, which is not "
                            "periodic",
                            copy.node, copy.image[i], i);
        original[copy.node] = {copy.original, {copy.image[0], copy.image[1], copy.image[2]}};
    }
    return original;
}

SurfaceCorner moved(SurfaceCorner corner, const std::array<Index, 3>& image) {
    for (int i = 0; i < 3; ++i)
        corner.image[i] -= image[i];
    return corner;
}

// The edge by its two corners, the same whichever end and whichever side of the box it is met from.
std::array<SurfaceCorner, 2> canonical_edge(const SurfaceCorner& a, const SurfaceCorner& b) {
    const std::array<SurfaceCorner, 2> there{moved(a, a.image), moved(b, a.image)};
    const std::array<SurfaceCorner, 2> back{moved(b, b.image), moved(a, b.image)};
    return std::min(there, back);
}

void number_vertices(const TetMesh& mesh,
                     const std::vector<SurfaceCorner>& original,
                     ContactSurface& surface,
                     std::vector<Index>& vertex_of) {
    vertex_of.assign(mesh.nodes.size(), no_index);
    for (const FaceNodes& face : mesh.surface)
        for (const Index node : face) {
            CELLGRADE_CHECK(node >= 0 && node < static_cast<Index>(mesh.nodes.size()),
                            "contact: a surface face has node {}; there are {} nodes", node,
                            mesh.nodes.size());
            vertex_of[original[node].vertex] = 0;
        }
    for (std::size_t i = 0; i < mesh.nodes.size(); ++i) {
        if (vertex_of[i] == no_index)
            continue;
        vertex_of[i] = surface.n_vertices();
        surface.nodes.push_back(static_cast<Index>(i));
        surface.x.push_back(mesh.nodes[i]);
    }
}

void split_faces(const TetMesh& mesh,
                 const std::vector<SurfaceCorner>& original,
                 const std::vector<Index>& vertex_of,
                 ContactSurface& surface) {
    constexpr std::array<std::array<int, 3>, 4> parts{{{0, 3, 5}, {3, 1, 4}, {5, 4, 2}, {3, 4, 5}}};
    surface.triangles.reserve(4 * mesh.surface.size());
    for (const FaceNodes& face : mesh.surface)
        for (const std::array<int, 3>& part : parts) {
            std::array<SurfaceCorner, 3> triangle;
            for (int k = 0; k < 3; ++k) {
                triangle[k] = original[face[part[k]]];
                triangle[k].vertex = vertex_of[triangle[k].vertex];
            }
            const std::array<Index, 3> image = triangle[0].image;
            for (SurfaceCorner& corner : triangle)
                corner = moved(corner, image);
            surface.triangles.push_back(triangle);
        }
}

Vec3 place(const ContactSurface& surface, const SurfaceCorner& corner) {
    return surface.x[corner.vertex] + moved_by(corner.image, surface.box);
}

void measure(ContactSurface& surface) {
    surface.area.assign(surface.nodes.size(), 0.0);
    for (const auto& t : surface.triangles) {
        const Vec3 a = place(surface, t[0]), b = place(surface, t[1]), c = place(surface, t[2]);
        for (const SurfaceCorner& corner : t)
            surface.area[corner.vertex] += (b - a).cross(c - a).norm() / 6.0;
    }
    surface.edge_length.assign(surface.nodes.size(), 0.0);
    std::vector<int> n_ends(surface.nodes.size(), 0);
    for (const auto& [a, b] : surface.edges) {
        const double length = (place(surface, b) - place(surface, a)).norm();
        CELLGRADE_CHECK(length > 0.0 && std::isfinite(length),
                        "contact: the edge between nodes {} and {} of the surface is {} m long; it "
                        "must be finite and > 0",
                        surface.nodes[a.vertex], surface.nodes[b.vertex], length);
        for (const Index v : {a.vertex, b.vertex}) {
            surface.edge_length[v] += length;
            ++n_ends[v];
        }
    }
    for (std::size_t v = 0; v < surface.nodes.size(); ++v)
        surface.edge_length[v] /= n_ends[v];
}

} // namespace

ContactSurface contact_surface(const TetMesh& mesh) {
    ContactSurface surface;
    surface.box = mesh.box;
    surface.periodic = mesh.periodic;
    for (int i = 0; i < 3; ++i)
        CELLGRADE_CHECK(!mesh.periodic[i] || (mesh.box[i] > 0.0 && std::isfinite(mesh.box[i])),
                        "contact: box length {} along periodic axis {}; it must be > 0",
                        mesh.box[i], i);
    const std::vector<SurfaceCorner> original = originals(mesh);
    std::vector<Index> vertex_of;
    number_vertices(mesh, original, surface, vertex_of);
    split_faces(mesh, original, vertex_of, surface);
    for (const auto& t : surface.triangles)
        for (int k = 0; k < 3; ++k)
            surface.edges.push_back(canonical_edge(t[k], t[(k + 1) % 3]));
    std::sort(surface.edges.begin(), surface.edges.end());
    surface.edges.erase(std::unique(surface.edges.begin(), surface.edges.end()),
                        surface.edges.end());
    measure(surface);
    return surface;
}

} // namespace cellgrade
