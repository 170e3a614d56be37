// SPDX-License-Identifier: Apache-2.0
#include "meshes/quality/tet_quality.hpp"

#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/jacobian.hpp"
#include "meshes/tets/tet_shape.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

namespace cellgrade {

namespace {

constexpr double sliver_angle = 10.0 / 180.0 * std::numbers::pi;

bool is_on_side(const TetMesh& mesh, const FaceNodes& face) {
    for (int axis = 0; axis < 3; ++axis)
        for (const double side : {0.0, mesh.box[axis]})
            if (mesh.nodes[face[0]][axis] == side && mesh.nodes[face[1]][axis] == side &&
                mesh.nodes[face[2]][axis] == side)
                return true;
    return false;
}

/// Adds the distances of one face to the largest and to the sum; returns how many.
int add_surface_error(const TetMesh& mesh,
                      const ImplicitSolid& solid,
                      const FaceNodes& f,
                      double& largest,
                      double& sum) {
    std::array<Vec3, 4> points;
    points[0] = Vec3::Zero();
    for (int i = 0; i < 3; ++i) {
        points[0] += 4.0 / 9.0 * mesh.nodes[f[3 + i]] - mesh.nodes[f[i]] / 9.0;
        points[1 + i] = mesh.nodes[f[3 + i]];
    }
    const double edge = (mesh.nodes[f[0]] - mesh.nodes[f[1]]).norm(), h = 1e-3 * edge;
    for (const Vec3& point : points) {
        const Vec3 x = point.cwiseMax(Vec3::Zero()).cwiseMin(solid.box);
        const double slope = field_gradient(solid, x, 0U, h).norm();
        const double distance = std::min(std::abs(solid.value(x)) / std::max(slope, 1e-300), edge);
        largest = std::max(largest, distance);
        sum += distance;
    }
    return 4;
}

/// Edges of the surface, sides included, that do not have two faces. Periodic sides are open.
Index open_edges(const TetMesh& mesh) {
    std::map<std::pair<Index, Index>, int> faces_at;
    for (const FaceNodes& face : mesh.surface)
        for (int i = 0; i < 3; ++i)
            ++faces_at[std::minmax(face[i], face[(i + 1) % 3])];
    Index open = 0;
    for (const auto& [edge, n] : faces_at) {
        bool on_periodic = false;
        for (int axis = 0; axis < 3; ++axis)
            for (const double side : {0.0, mesh.box[axis]})
                on_periodic |= mesh.periodic[axis] && mesh.nodes[edge.first][axis] == side &&
                               mesh.nodes[edge.second][axis] == side;
        open += n != 2 && !on_periodic ? 1 : 0;
    }
    return open;
}

} // namespace

TetQuality tet_quality(const TetMesh& mesh, const ImplicitSolid& solid) {
    TetQuality q{.n_tets = static_cast<Index>(mesh.tets.size()),
                 .n_nodes = static_cast<Index>(mesh.nodes.size()),
                 .n_surface_faces = static_cast<Index>(mesh.surface.size()),
                 .smallest_dihedral = std::numbers::pi,
                 .smallest_scaled_jacobian = 1.0,
                 .smallest_curved_jacobian = 1.0,
                 .smallest_height = mesh.box.maxCoeff()};
    for (const TetNodes& tet : mesh.tets) {
        std::array<Vec3, 10> x;
        for (int i = 0; i < 10; ++i)
            x[i] = mesh.nodes[tet[i]];
        const TetShape shape = tet_shape(x[0], x[1], x[2], x[3]);
        q.smallest_dihedral = std::min(q.smallest_dihedral, shape.smallest_dihedral);
        q.largest_dihedral = std::max(q.largest_dihedral, shape.largest_dihedral);
        q.n_slivers += shape.smallest_dihedral < sliver_angle ? 1 : 0;
        q.smallest_scaled_jacobian = std::min(q.smallest_scaled_jacobian, shape.scaled_jacobian);
        q.smallest_height = std::min(q.smallest_height, shape.smallest_height);
        q.smallest_curved_jacobian =
            std::min(q.smallest_curved_jacobian, smallest_jacobian_share(x));
        q.volume += curved_volume(x);
    }
    double sum = 0.0;
    int n = 0;
    for (const FaceNodes& face : mesh.surface)
        if (!is_on_side(mesh, face))
            n += add_surface_error(mesh, solid, face, q.largest_surface_error, sum);
    q.mean_surface_error = n > 0 ? sum / n : 0.0;
    q.n_open_edges = open_edges(mesh);
    return q;
}

double curved_volume(const TetMesh& mesh) {
    double sum = 0.0;
    for (const TetNodes& tet : mesh.tets) {
        std::array<Vec3, 10> x;
        for (int i = 0; i < 10; ++i)
            x[i] = mesh.nodes[tet[i]];
        sum += curved_volume(x);
    }
    return sum;
}

} // namespace cellgrade
