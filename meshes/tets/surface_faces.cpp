// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/surface_faces.hpp"

#include <algorithm>
#include <numeric>

namespace cellgrade {

namespace {

/// Faces opposite corners 3, 0, 1, 2, counter-clockwise seen from outside.
constexpr std::array<std::array<int, 3>, 4> face_corners = {
    {{0, 2, 1}, {1, 2, 3}, {0, 3, 2}, {0, 1, 3}}};

/// A face under the lowest of its corners.
struct Face {
    Index middle, highest;
    Index tet;
    int local;
};

/// Faces in buckets by their lowest corner, in the order of the tetrahedra.
struct FaceBuckets {
    std::vector<Index> start; ///< one a node and the end
    std::vector<Face> faces;
};

FaceBuckets bucket_faces(const LinearTets& mesh) {
    FaceBuckets buckets;
    buckets.start.assign(mesh.nodes.size() + 2, 0); // one late, to be moved while filling
    const auto lowest = [](const Corners& tet, const std::array<int, 3>& at) {
        return std::min({tet[at[0]], tet[at[1]], tet[at[2]]});
    };
    for (const Corners& tet : mesh.tets)
        for (const auto& at : face_corners)
            ++buckets.start[lowest(tet, at) + 2];
    for (std::size_t n = 2; n < buckets.start.size(); ++n)
        buckets.start[n] += buckets.start[n - 1];
    buckets.faces.resize(4 * mesh.tets.size());
    for (std::size_t t = 0; t < mesh.tets.size(); ++t)
        for (int i = 0; i < 4; ++i) {
            const Corners& tet = mesh.tets[t];
            const auto& at = face_corners[i];
            const Index low = lowest(tet, at);
            const Index high = std::max({tet[at[0]], tet[at[1]], tet[at[2]]});
            const Index middle = (tet[at[0]] - low) + (tet[at[1]] - high) + tet[at[2]];
            buckets.faces[buckets.start[low + 1]++] = {middle, high, static_cast<Index>(t), i};
        }
    buckets.start.pop_back();
    return buckets;
}

} // namespace

std::vector<std::array<Index, 3>> outer_faces(const LinearTets& mesh) {
    const FaceBuckets buckets = bucket_faces(mesh);
    std::vector<Face> single;
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n)
        for (Index p = buckets.start[n]; p < buckets.start[n + 1]; ++p) {
            const Face& face = buckets.faces[p];
            bool is_single = true;
            for (Index q = buckets.start[n]; q < buckets.start[n + 1] && is_single; ++q)
                is_single = q == p || buckets.faces[q].highest != face.highest ||
                            buckets.faces[q].middle != face.middle;
            if (is_single)
                single.push_back(face);
        }
    std::sort(single.begin(), single.end(), [](const Face& p, const Face& q) {
        return p.tet != q.tet ? p.tet < q.tet : p.local < q.local;
    });
    std::vector<std::array<Index, 3>> outer;
    outer.reserve(single.size());
    for (const Face& face : single) {
        const Corners& tet = mesh.tets[face.tet];
        const std::array<int, 3>& corner = face_corners[face.local];
        outer.push_back({tet[corner[0]], tet[corner[1]], tet[corner[2]]});
    }
    return outer;
}

std::vector<std::array<Index, 3>> free_faces(const LinearTets& mesh) {
    const std::vector<Index> original = originals(mesh);
    std::vector<std::array<Index, 3>> faces = outer_faces(mesh);
    const auto glued = [&](const std::array<Index, 3>& face) {
        std::array<Index, 3> g = {original[face[0]], original[face[1]], original[face[2]]};
        std::sort(g.begin(), g.end());
        return g;
    };
    std::vector<std::array<Index, 3>> keys;
    for (const auto& face : faces)
        if (is_on_side(mesh, face))
            keys.push_back(glued(face));
    std::sort(keys.begin(), keys.end());
    std::erase_if(faces, [&](const std::array<Index, 3>& face) {
        if (!is_on_side(mesh, face))
            return false;
        const auto [from, to] = std::equal_range(keys.begin(), keys.end(), glued(face));
        return to - from == 2;
    });
    return faces;
}

std::vector<Index> originals(const LinearTets& mesh) {
    std::vector<Index> original(mesh.nodes.size());
    std::iota(original.begin(), original.end(), Index{0});
    for (const NodeCopy& copy : mesh.copies)
        original[copy.node] = copy.original;
    return original;
}

bool is_on_side(const LinearTets& mesh, const std::array<Index, 3>& face) {
    const unsigned common = mesh.held[face[0]] & mesh.held[face[1]] & mesh.held[face[2]];
    for (int axis = 0; axis < 3; ++axis)
        if ((common >> axis & 1U) != 0U) {
            const double x = mesh.nodes[face[0]][axis];
            if (mesh.nodes[face[1]][axis] == x && mesh.nodes[face[2]][axis] == x)
                return true;
        }
    return false;
}

} // namespace cellgrade
