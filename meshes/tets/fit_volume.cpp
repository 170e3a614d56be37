// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/fit_volume.hpp"

#include "meshes/tets/creases.hpp"
#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/jacobian.hpp"
#include "meshes/tets/node_mover.hpp"
#include "meshes/tets/surface_faces.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace cellgrade {

namespace {

constexpr double close_enough = 5e-4; ///< of the volume
constexpr int most_rounds = 6;
constexpr double fair_angle = 15.0 / 180.0 * std::numbers::pi;

/// The solid where f < s.
ImplicitSolid shifted(const ImplicitSolid& solid, double s) {
    ImplicitSolid moved = solid;
    moved.field = [field = solid.field, s](std::span<const Vec3> x, std::span<double> f) {
        field(x, f);
        for (double& value : f)
            value -= s;
    };
    if (solid.pieces)
        moved.pieces = [pieces = solid.pieces, s](const Vec3& x, double within,
                                                  std::vector<FieldPiece>& near) {
            pieces(x, within, near);
            for (FieldPiece& piece : near)
                piece.value -= s;
        };
    return moved;
}

struct SurfaceSize {
    double area = 0.0;      ///< [m^2]
    double by_slope = 0.0;  ///< integral of dA / |grad f|
    double mean_edge = 0.0; ///< root of the mean area of a face [m]
};

SurfaceSize surface_size(const LinearTets& mesh, const ImplicitSolid& solid) {
    SurfaceSize size;
    Index n = 0;
    for (const auto& face : outer_faces(mesh)) {
        if (is_on_side(mesh, face))
            continue;
        const Vec3 &a = mesh.nodes[face[0]], &b = mesh.nodes[face[1]], &c = mesh.nodes[face[2]];
        const double area = 0.5 * (b - a).cross(c - a).norm();
        const double slope =
            field_gradient(solid, (a + b + c) / 3.0, 0U, 1e-3 * std::sqrt(area)).norm();
        if (slope > 0.0) {
            size.area += area;
            size.by_slope += area / slope;
            ++n;
        }
    }
    size.mean_edge = n > 0 ? std::sqrt(size.area / n) : 0.0;
    return size;
}

double volume_of(const LinearTets& mesh, const EdgeMiddles& middles) {
    double volume = 0.0;
    for (std::size_t t = 0; t < mesh.tets.size(); ++t)
        volume += curved_volume(ten_nodes(mesh, middles, t));
    return volume;
}

/// Puts the surface nodes onto the zero set of the solid where their tetrahedra allow it.
void follow(LinearTets& mesh, const ImplicitSolid& solid, double reach) {
    NodeMover mover(mesh, solid.box);
    for (std::size_t n = 0; n < mesh.nodes.size(); ++n) {
        const auto node = static_cast<Index>(n);
        if (!mesh.on_surface[n] || mover.is_copy(node))
            continue;
        const int pieces = mesh.crease.empty() ? 0 : mesh.crease[n];
        const Vec3 from = mesh.nodes[n];
        const std::optional<Vec3> to = pieces > 0
                                           ? onto_crease(solid, from, mesh.held[n], pieces, reach)
                                           : onto_zero_set(solid, from, mesh.held[n], reach);
        if (!to)
            continue;
        const double before = mover.worst_around(node).angle;
        mover.move(node, *to);
        if (mover.worst_around(node).angle < std::min(before, fair_angle))
            mover.move(node, from);
    }
}

} // namespace

VolumeFit fit_volume(LinearTets& mesh,
                     EdgeMiddles& middles,
                     const ImplicitSolid& solid,
                     double wanted,
                     double most) {
    VolumeFit fit;
    curve_edges(middles, mesh, solid);
    double volume = volume_of(mesh, middles);
    fit.error = volume / wanted - 1.0;
    if (std::abs(fit.error) < close_enough)
        return fit;
    const SurfaceSize size = surface_size(mesh, solid);
    if (!(size.area > 0.0))
        return fit; // pores too small for the elements: nothing to move
    double s = 0.0;
    for (int round = 0; round < most_rounds && std::abs(fit.error) >= close_enough; ++round) {
        const double next = s - (volume - wanted) / size.by_slope;
        const double shift = next * size.by_slope / size.area;
        if (std::abs(shift) > most)
            break;
        s = next;
        fit.shift = shift;
        const ImplicitSolid moved = shifted(solid, s);
        follow(mesh, moved, 0.3 * size.mean_edge);
        middles = straight_middles(mesh);
        curve_edges(middles, mesh, moved);
        volume = volume_of(mesh, middles);
        fit.error = volume / wanted - 1.0;
    }
    return fit;
}

} // namespace cellgrade
