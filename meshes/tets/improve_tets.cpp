// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/improve_tets.hpp"

#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/node_stars.hpp"
#include "meshes/tets/tet_shape.hpp"

#include <algorithm>
#include <array>
#include <numbers>
#include <optional>
#include <unordered_map>

namespace cellgrade {

namespace {

constexpr double fair_angle = 20.0 / 180.0 * std::numbers::pi;

/// The worst of the tetrahedra around a node.
struct Worst {
    double height;
    double angle;
    Index tet;
    Index node; ///< its corner: the node asked for, or a copy of it
};

class Improver {
public:
    Improver(LinearTets& mesh, const ImplicitSolid& solid, double wanted)
        : mesh_(mesh), solid_(solid), wanted_(wanted),
          stars_(node_stars(mesh.tets, mesh.nodes.size())), is_copy_(mesh.nodes.size(), false) {
        for (const NodeCopy& copy : mesh.copies) {
            is_copy_[copy.node] = true;
            copies_[copy.original].push_back(copy);
        }
    }

    Index sweep() {
        Index moves = 0;
        for (std::size_t n = 0; n < mesh_.nodes.size(); ++n)
            if (!is_copy_[n]) // those move with their original
                moves += improve(static_cast<Index>(n)) ? 1 : 0;
        return moves;
    }

private:
    /// Over the tetrahedra of a node and of its periodic copies.
    [[nodiscard]] Worst worst_around(Index node) const {
        Worst worst{1e300, 1e300, no_index, node};
        add_worst(node, worst);
        if (const auto group = copies_.find(node); group != copies_.end())
            for (const NodeCopy& copy : group->second)
                add_worst(copy.node, worst);
        return worst;
    }

    void add_worst(Index node, Worst& worst) const {
        for (const Index tet : stars_.around(node)) {
            const Corners& t = mesh_.tets[tet];
            const TetShape shape = tet_shape(mesh_.nodes[t[0]], mesh_.nodes[t[1]],
                                             mesh_.nodes[t[2]], mesh_.nodes[t[3]]);
            worst.angle = std::min(worst.angle, shape.smallest_dihedral);
            if (shape.smallest_height < worst.height) {
                worst.height = shape.smallest_height;
                worst.tet = tet;
                worst.node = node;
            }
        }
    }

    bool improve(Index node) {
        const Worst before = worst_around(node);
        if (before.height >= wanted_ && before.angle >= fair_angle)
            return false;
        const double step = 0.5 * wanted_;
        for (const double length : {step, 0.5 * step, 0.25 * step})
            for (const Vec3& way : ways(before.node, before.tet))
                if (attempt(node, mesh_.nodes[node] + length * way, before))
                    return true;
        return false;
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

    bool attempt(Index node, Vec3 to, const Worst& before) {
        const Vec3 from = mesh_.nodes[node];
        const unsigned held = mesh_.held[node];
        for (int axis = 0; axis < 3; ++axis)
            if ((held >> axis & 1U) != 0U)
                to[axis] = from[axis];
        if (mesh_.on_surface[node]) {
            const std::optional<Vec3> back = onto_zero_set(solid_, to, held, wanted_);
            if (!back)
                return false;
            to = *back;
        }
        move(node, to);
        const Worst after = worst_around(node);
        const bool is_higher = after.height > 1.02 * before.height &&
                               after.angle >= std::min(before.angle, fair_angle);
        const bool is_wider = before.angle < fair_angle && after.angle > 1.02 * before.angle &&
                              after.height >= std::min(before.height, wanted_);
        if (is_higher || is_wider)
            return true;
        move(node, from);
        return false;
    }

    void move(Index node, const Vec3& to) {
        mesh_.nodes[node] = to;
        if (const auto group = copies_.find(node); group != copies_.end())
            for (const NodeCopy& copy : group->second)
                mesh_.nodes[copy.node] = to + copy.image.cast<double>().cwiseProduct(solid_.box);
    }

    LinearTets& mesh_;
    const ImplicitSolid& solid_;
    double wanted_;
    NodeStars stars_;
    std::vector<bool> is_copy_;
    std::unordered_map<Index, std::vector<NodeCopy>> copies_; ///< by original
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
