// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/print_surface.hpp"

#include "solver/core/disjoint_sets.hpp"
#include "solver/core/error.hpp"
#include "solver/core/units.hpp"

#include <algorithm>
#include <cstdint>
#include <map>

namespace cellgrade {

namespace {

/// The six nodes of the faces of a tetrahedron, counter-clockwise seen from outside, then the
/// middles of their edges.
constexpr std::array<std::array<int, 6>, 4> face_nodes = {
    {{0, 2, 1, 6, 5, 4}, {1, 2, 3, 5, 9, 8}, {0, 3, 2, 7, 9, 6}, {0, 1, 3, 4, 8, 7}}};

bool is_on_periodic_side(const TetMesh& mesh, const FaceNodes& face) {
    for (int axis = 0; axis < 3; ++axis) {
        const double x = mesh.nodes[face[0]][axis];
        if (mesh.periodic[axis] && (x == 0.0 || x == mesh.box[axis]) &&
            mesh.nodes[face[1]][axis] == x && mesh.nodes[face[2]][axis] == x)
            return true;
    }
    return false;
}

/// The surface of the mesh and the faces that it leaves out: those on periodic sides.
std::vector<FaceNodes> whole_boundary(const TetMesh& mesh) {
    std::vector<FaceNodes> faces = mesh.surface;
    if (mesh.periodic == std::array<bool, 3>{false, false, false})
        return faces;
    for (const TetNodes& tet : mesh.tets)
        for (const std::array<int, 6>& local : face_nodes) {
            FaceNodes face;
            for (int i = 0; i < 6; ++i)
                face[i] = tet[local[i]];
            if (is_on_periodic_side(mesh, face))
                faces.push_back(face);
        }
    return faces;
}

Vec3 at(const PrintSurface& surface, Index point) {
    const std::array<float, 3>& x = surface.points[point];
    return {double{x[0]}, double{x[1]}, double{x[2]}};
}

std::string told(const PrintSurface& surface, Index point) {
    const std::array<float, 3>& x = surface.points[point];
    return fmt::format("({:.4g}, {:.4g}, {:.4g}) mm", x[0], x[1], x[2]);
}

/// One number for an edge in its direction.
std::uint64_t directed(Index from, Index to) {
    return static_cast<std::uint64_t>(from) << 32U | static_cast<unsigned>(to);
}

/// Of a triangle over the origin, with its sign [m^3].
double cone_volume(const PrintSurface& surface, const std::array<Index, 3>& t) {
    return at(surface, t[0]).dot(at(surface, t[1]).cross(at(surface, t[2]))) / 6.0 * units::mm *
           units::mm * units::mm;
}

void check_edges(const PrintSurface& surface) {
    std::vector<std::uint64_t> edges, opposite;
    edges.reserve(3 * surface.triangles.size());
    opposite.reserve(3 * surface.triangles.size());
    for (const std::array<Index, 3>& t : surface.triangles)
        for (int i = 0; i < 3; ++i) {
            edges.push_back(directed(t[i], t[(i + 1) % 3]));
            opposite.push_back(directed(t[(i + 1) % 3], t[i]));
        }
    std::sort(edges.begin(), edges.end());
    std::sort(opposite.begin(), opposite.end());
    const auto refuse = [&](std::uint64_t edge, const char* what) {
        throw input_error("the surface {} at {} and cannot be printed; another element size or "
                          "thicker walls are needed",
                          what, told(surface, static_cast<Index>(edge >> 32U)));
    };
    if (const auto twice = std::adjacent_find(edges.begin(), edges.end()); twice != edges.end())
        refuse(*twice, "touches itself along an edge");
    if (const auto [open, other] = std::mismatch(edges.begin(), edges.end(), opposite.begin());
        open != edges.end())
        refuse(std::min(*open, *other), "is open");
}

void check_shapes(const PrintSurface& surface) {
    std::vector<Index> order(surface.points.size());
    for (std::size_t i = 0; i < order.size(); ++i)
        order[i] = static_cast<Index>(i);
    std::sort(order.begin(), order.end(),
              [&](Index a, Index b) { return surface.points[a] < surface.points[b]; });
    const auto same = std::adjacent_find(order.begin(), order.end(), [&](Index a, Index b) {
        return surface.points[a] == surface.points[b];
    });
    CELLGRADE_CHECK(same == order.end(),
                    "two points of the surface fall together at {} when rounded to single "
                    "precision; larger elements or a smaller specimen are needed",
                    told(surface, *same));
    for (const std::array<Index, 3>& t : surface.triangles) {
        const Vec3 a = at(surface, t[0]);
        CELLGRADE_CHECK((at(surface, t[1]) - a).cross(at(surface, t[2]) - a).norm() > 0.0,
                        "a triangle of the surface has no area at {} when rounded to single "
                        "precision; larger elements or a smaller specimen are needed",
                        told(surface, t[0]));
    }
}

} // namespace

void check_closed(const PrintSurface& surface) {
    check_edges(surface);
    check_shapes(surface);
}

PrintSurface print_surface(const TetMesh& mesh) {
    PrintSurface surface;
    std::vector<Index> point_of(mesh.nodes.size(), no_index);
    const auto point = [&](Index node) {
        if (point_of[node] == no_index) {
            point_of[node] = static_cast<Index>(surface.points.size());
            const Vec3 x = mesh.nodes[node] / units::mm;
            surface.points.push_back(
                {static_cast<float>(x.x()), static_cast<float>(x.y()), static_cast<float>(x.z())});
        }
        return point_of[node];
    };
    const std::vector<FaceNodes> faces = whole_boundary(mesh);
    surface.triangles.reserve(4 * faces.size());
    for (const FaceNodes& face : faces) {
        FaceNodes p;
        for (int i = 0; i < 6; ++i)
            p[i] = point(face[i]);
        surface.triangles.push_back({p[0], p[3], p[5]});
        surface.triangles.push_back({p[3], p[1], p[4]});
        surface.triangles.push_back({p[5], p[4], p[2]});
        surface.triangles.push_back({p[3], p[4], p[5]});
    }
    check_closed(surface);
    return surface;
}

double enclosed_volume(const PrintSurface& surface) {
    double volume = 0.0;
    for (const std::array<Index, 3>& t : surface.triangles)
        volume += cone_volume(surface, t);
    return volume;
}

std::vector<double> shell_volumes(const PrintSurface& surface) {
    DisjointSets shells(surface.points.size());
    for (const std::array<Index, 3>& t : surface.triangles) {
        shells.join(t[0], t[1]);
        shells.join(t[0], t[2]);
    }
    std::map<Index, double> volume_of;
    for (const std::array<Index, 3>& t : surface.triangles)
        volume_of[shells.find(t[0])] += cone_volume(surface, t);
    std::vector<double> volumes;
    for (const auto& [shell, volume] : volume_of)
        volumes.push_back(volume);
    return volumes;
}

} // namespace cellgrade
