// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/improve_tets.hpp"

#include "meshes/tets/creases.hpp"
#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/node_mover.hpp"
#include "meshes/tets/tet_shape.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

namespace cellgrade {

namespace {

constexpr double fair_angle = 20.0 / 180.0 * std::numbers::pi;

class Improver {
public:
    Improver(LinearTets& mesh, const ImplicitSolid& solid, double wanted)
        : mesh_(mesh), solid_(solid), wanted_(wanted), mover_(mesh, solid.box),
          is_open_(mesh.nodes.size(), false) {
        for (const Corners& t : mesh.tets) {
            const TetLowness low =
                tet_lowness(mesh.nodes[t[0]], mesh.nodes[t[1]], mesh.nodes[t[2]], mesh.nodes[t[3]]);
            if (low.height < wanted || low.largest_cosine > std::cos(fair_angle))
                for (const Index node : t)
                    is_open_[node] = true;
        }
        for (const NodeCopy& copy : mesh.copies)
            if (is_open_[copy.node])
                is_open_[copy.original] = true;
    }

    Index sweep() {
        Index moves = 0;
        for (std::size_t n = 0; n < mesh_.nodes.size(); ++n)
            if (is_open_[n] && !mover_.is_copy(static_cast<Index>(n))) // those move with theirs
                moves += visit(static_cast<Index>(n)) ? 1 : 0;
        return moves;
    }

private:
    /// A node that cannot be improved is left alone until one beside it moves.
    bool visit(Index node) {
        const bool moved = improve(node);
        is_open_[node] = moved;
        if (moved)
            mover_.for_neighbours(node, [&](Index beside) { is_open_[beside] = true; });
        return moved;
    }

    bool improve(Index node) {
        const WorstAround before = mover_.worst_around(node);
        if (before.height >= wanted_ && before.angle >= fair_angle)
            return false;
        const double step = 0.5 * wanted_;
        const std::array<Vec3, 7> all = ways(before.node, before.tet);
        const Vec3 normal = normal_at(node);
        for (const double length : {step, 0.5 * step, 0.25 * step})
            for (const Vec3& way : all) {
                const Vec3 along = way - way.dot(normal) * normal;
                if (along.squaredNorm() > 0.1 &&
                    attempt(node, mesh_.nodes[node] + length * along.normalized(), before))
                    return true;
            }
        return false;
    }

    /// Of the surface at a node on it away from creases; else zero.
    [[nodiscard]] Vec3 normal_at(Index node) const {
        if (!mesh_.on_surface[node] || pieces_at(node) > 0)
            return Vec3::Zero();
        const Vec3 slope =
            field_gradient(solid_, mesh_.nodes[node], mesh_.held[node], 1e-3 * wanted_);
        return slope.isZero(0.0) ? slope : Vec3(slope.normalized());
    }

    [[nodiscard]] int pieces_at(Index node) const {
        return mesh_.crease.empty() ? 0 : mesh_.crease[node];
    }

    /// Away from the face opposite the node in its lowest tetrahedron, then along the axes.
    [[nodiscard]] std::array<Vec3, 7> ways(Index node, Index tet) const {
        std::array<Vec3, 7> all = {Vec3::UnitX(), -Vec3::UnitX(), Vec3::UnitY(), -Vec3::UnitY(),
                                   Vec3::UnitZ(), -Vec3::UnitZ(), Vec3::Zero()};
        std::array<Vec3, 3> face;
        int i = 0;
        for (const Index corner : mesh_.tets[tet])
            if (corner != node)
                face[i++] = mesh_.nodes[corner];
        Vec3 away = (face[1] - face[0]).cross(face[2] - face[0]).normalized();
        if (away.dot(mesh_.nodes[node] - face[0]) < 0.0)
            away = -away;
        std::rotate(all.begin(), all.end() - 1, all.end());
        all[0] = away;
        return all;
    }

    [[nodiscard]] bool is_better(const WorstAround& after, const WorstAround& before) const {
        const bool is_higher = after.height > 1.02 * before.height &&
                               after.angle >= std::min(before.angle, fair_angle);
        const bool is_wider = before.angle < fair_angle && after.angle > 1.02 * before.angle &&
                              after.height >= std::min(before.height, wanted_);
        return is_higher || is_wider;
    }

    bool attempt(Index node, Vec3 to, const WorstAround& before) {
        const Vec3 from = mesh_.nodes[node];
        const unsigned held = mesh_.held[node];
        for (int axis = 0; axis < 3; ++axis)
            if ((held >> axis & 1U) != 0U)
                to[axis] = from[axis];
        const int pieces = pieces_at(node);
        const NodeMover::GiveUp give_up = {.height = std::min(before.height, wanted_),
                                           .cosine =
                                               std::cos(std::min(before.angle, fair_angle) - 1e-9)};
        if (pieces == 0) { // the tangent tells nearly all: ask the field only when it helps
            mover_.move(node, to);
            const bool helps = is_better(mover_.worst_around(node, give_up), before);
            if (helps && !mesh_.on_surface[node])
                return true;
            mover_.move(node, from);
            if (!helps)
                return false;
        }
        const std::optional<Vec3> back = pieces > 0 ? onto_crease(solid_, to, held, pieces, wanted_)
                                                    : onto_zero_set(solid_, to, held, wanted_);
        if (!back)
            return false;
        mover_.move(node, *back);
        if (is_better(mover_.worst_around(node, give_up), before))
            return true;
        mover_.move(node, from);
        return false;
    }

    LinearTets& mesh_;
    const ImplicitSolid& solid_;
    double wanted_;
    NodeMover mover_;
    std::vector<bool> is_open_; ///< to be tried
};

} // namespace

Index improve_tets(LinearTets& mesh, const ImplicitSolid& solid, double wanted, int sweeps) {
    Improver improver(mesh, solid, wanted);
    Index moves = 0;
    for (int sweep = 0; sweep < sweeps; ++sweep)
        moves += improver.sweep();
    return moves;
}

} // namespace cellgrade
