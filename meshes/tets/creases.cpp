// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/creases.hpp"

#include "meshes/tets/node_mover.hpp"
#include "meshes/tets/surface_faces.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <array>
#include <numbers>
#include <tuple>
#include <utility>
#include <vector>

namespace cellgrade {

namespace {

constexpr double least_turn_cosine = 0.966; // of 15 degrees
constexpr double fair_angle = 15.0 / 180.0 * std::numbers::pi;
constexpr int most_rounds = 12;

/// Numbers of the n lowest pieces that differ in direction; false where there are fewer.
bool choose_pieces(const std::vector<FieldPiece>& near, int n, std::array<Index, 3>& chosen) {
    std::array<Vec3, 3> normals;
    int found = 0;
    for (const FieldPiece& piece : near) {
        const Vec3 normal = piece.gradient.normalized();
        bool is_new = true;
        for (int k = 0; k < found; ++k)
            is_new = is_new && normal.dot(normals[k]) < least_turn_cosine;
        if (!is_new)
            continue;
        normals[found] = normal;
        chosen[found++] = piece.number;
        if (found == n)
            return true;
    }
    return false;
}

/// A surface node and the crease point that it could move to.
struct Candidate {
    double distance;
    Index node;
    Vec3 to;
};

class Snapper {
public:
    Snapper(LinearTets& mesh, const ImplicitSolid& solid, double cube)
        : mesh_(mesh), solid_(solid), cube_(cube), mover_(mesh, solid.box),
          piece_(mesh.nodes.size(), no_index) {
        mesh_.crease.assign(mesh.nodes.size(), 0);
        std::vector<FieldPiece> near;
        for (std::size_t n = 0; n < piece_.size(); ++n)
            if (mesh.on_surface[n]) {
                solid.pieces(mesh.nodes[n], 0.0, near);
                piece_[n] = near.empty() ? no_index : near.front().number;
            }
        for (const NodeCopy& copy : mesh.copies) // far sides are numbered through the near ones
            piece_[copy.node] = no_index;
        find_crossings();
    }

    Index run() {
        Index snapped = 0;
        for (const int n : {3, 2}) {
            std::vector<Candidate> candidates;
            for (const auto& [node, other] : crossings_)
                if (!mover_.is_copy(node) && mesh_.crease[node] == 0 &&
                    (candidates.empty() || candidates.back().node != node))
                    if (const auto to = onto_crease(solid_, mesh_.nodes[node], mesh_.held[node], n,
                                                    0.6 * cube_))
                        candidates.push_back({(*to - mesh_.nodes[node]).norm(), node, *to});
            std::sort(candidates.begin(), candidates.end(),
                      [](const Candidate& p, const Candidate& q) {
                          return std::tie(p.distance, p.node) < std::tie(q.distance, q.node);
                      });
            for (const Candidate& c : candidates)
                if ((n == 3 || still_crosses(c.node)) && attempt(c)) {
                    mesh_.crease[c.node] = static_cast<std::uint8_t>(n);
                    ++snapped;
                }
        }
        for (const NodeCopy& copy : mesh_.copies)
            mesh_.crease[copy.node] = mesh_.crease[copy.original];
        return snapped;
    }

private:
    void find_crossings() {
        for (const auto& face : outer_faces(mesh_)) {
            if (is_on_side(mesh_, face))
                continue;
            for (int i = 0; i < 3; ++i) {
                const Index a = face[i], b = face[(i + 1) % 3];
                if (piece_[a] != piece_[b] || piece_[a] == no_index) {
                    crossings_.emplace_back(a, b);
                    crossings_.emplace_back(b, a);
                }
            }
        }
        std::sort(crossings_.begin(), crossings_.end());
        crossings_.erase(std::unique(crossings_.begin(), crossings_.end()), crossings_.end());
    }

    [[nodiscard]] bool still_crosses(Index node) const {
        auto at = std::lower_bound(crossings_.begin(), crossings_.end(), std::pair(node, Index{0}));
        for (; at != crossings_.end() && at->first == node; ++at)
            if (mesh_.crease[at->second] == 0)
                return true;
        return false;
    }

    bool attempt(const Candidate& c) {
        const WorstAround before = mover_.worst_around(c.node);
        const Vec3 from = mesh_.nodes[c.node];
        mover_.move(c.node, c.to);
        const WorstAround after = mover_.worst_around(c.node);
        if (after.angle >= std::min(before.angle, fair_angle) &&
            after.height >= std::min(before.height, 0.22 * cube_))
            return true;
        mover_.move(c.node, from);
        return false;
    }

    LinearTets& mesh_;
    const ImplicitSolid& solid_;
    double cube_;
    NodeMover mover_;
    std::vector<Index> piece_; ///< that a surface node lies on
    std::vector<std::pair<Index, Index>> crossings_;
};

} // namespace

std::optional<Vec3>
onto_crease(const ImplicitSolid& solid, const Vec3& x, unsigned held, int n, double reach) {
    if (!solid.pieces)
        return std::nullopt;
    std::vector<FieldPiece> near;
    solid.pieces(x, 1e300, near);
    std::array<Index, 3> chosen{};
    if (!choose_pieces(near, n, chosen))
        return std::nullopt;
    Vec3 at = x;
    for (int round = 0; round < most_rounds; ++round) {
        Eigen::Matrix3d slopes = Eigen::Matrix3d::Zero();
        Vec3 values = Vec3::Zero();
        double scale = 0.0;
        int found = 0;
        for (const FieldPiece& piece : near)
            for (int k = 0; k < n; ++k)
                if (piece.number == chosen[k]) {
                    ++found;
                    values[k] = piece.value;
                    scale = std::max(scale, piece.gradient.norm());
                    for (int axis = 0; axis < 3; ++axis)
                        slopes(k, axis) = (held >> axis & 1U) != 0U ? 0.0 : piece.gradient[axis];
                }
        if (found != n)
            return std::nullopt;
        if (values.cwiseAbs().maxCoeff() < 1e-9 * reach * scale) {
            const bool is_outside = near.front().value > -1e-6 * reach * scale;
            return is_outside ? std::optional(at) : std::nullopt;
        }
        Eigen::Matrix3d normal = slopes * slopes.transpose();
        for (int k = n; k < 3; ++k)
            normal(k, k) = 1.0;
        if (!(normal.determinant() > 1e-3 * std::pow(scale, 2 * n)))
            return std::nullopt; // as good as parallel
        at -= slopes.transpose() * normal.inverse() * values;
        if (!((at - x).norm() <= reach) || (at.array() < 0.0).any() ||
            (at.array() > solid.box.array()).any())
            return std::nullopt;
        solid.pieces(at, 1e300, near);
    }
    return std::nullopt;
}

Index snap_to_creases(LinearTets& mesh, const ImplicitSolid& solid, double cube) {
    if (!solid.pieces) {
        mesh.crease.assign(mesh.nodes.size(), 0);
        return 0;
    }
    return Snapper(mesh, solid, cube).run();
}

} // namespace cellgrade
