// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/surface_faces.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

/// Faces opposite corners 3, 0, 1, 2, counter-clockwise seen from outside.
constexpr std::array<std::array<int, 3>, 4> face_corners = {
    {{0, 2, 1}, {1, 2, 3}, {0, 3, 2}, {0, 1, 3}}};

struct Face {
    std::array<Index, 3> sorted;
    Index tet;
    int local;
};

} // namespace

std::vector<std::array<Index, 3>> outer_faces(const LinearTets& mesh) {
    std::vector<Face> faces;
    faces.reserve(4 * mesh.tets.size());
    for (std::size_t t = 0; t < mesh.tets.size(); ++t)
        for (int i = 0; i < 4; ++i) {
            Face face{{}, static_cast<Index>(t), i};
            for (int k = 0; k < 3; ++k)
                face.sorted[k] = mesh.tets[t][face_corners[i][k]];
            std::sort(face.sorted.begin(), face.sorted.end());
            faces.push_back(face);
        }
    std::sort(faces.begin(), faces.end(), [](const Face& p, const Face& q) {
        return p.sorted != q.sorted ? p.sorted < q.sorted : p.tet < q.tet;
    });
    std::vector<Face> single;
    for (std::size_t from = 0, to = 0; from < faces.size(); from = to) {
        while (to < faces.size() && faces[to].sorted == faces[from].sorted)
            ++to;
        if (to - from == 1)
            single.push_back(faces[from]);
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
