// SPDX-License-Identifier: Apache-2.0
#include "meshes/tets/match_volume.hpp"

#include "meshes/tets/edge_copies.hpp"
#include "meshes/tets/field_projection.hpp"
#include "meshes/tets/jacobian.hpp"
#include "meshes/tets/surface_faces.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace cellgrade {

namespace {

constexpr int rounds = 8, attempts = 4;
constexpr double accuracy = 1e-5;   ///< of the volume
constexpr double least_slope = 0.3; ///< of the mean slope
constexpr double least_share = 0.1; ///< of the Jacobian determinant, half of what curving keeps

/// Ways of the nodes and edge middles for a field higher by 1.
class Swelling {
public:
    Swelling(LinearTets& tets, EdgeMiddles& middles, const ImplicitSolid& solid)
        : tets_(tets), middles_(middles), nodes_(tets.nodes), at_(middles.at),
          node_way_(nodes_.size(), Vec3::Zero()), middle_way_(at_.size(), Vec3::Zero()) {
        const EdgeNumbers numbers = edge_numbers(middles);
        edge_copies_ = edge_copies(middles, tets, numbers);
        box_ = solid.box;
        find_middles(numbers);
        find_slopes(solid);
        for (const NodeCopy& copy : tets_.copies)
            node_way_[copy.node] = node_way_[copy.original];
        follow_ends();
    }

    [[nodiscard]] double mean_slope() const { return mean_slope_; }

    void move_to(double c) {
        for (std::size_t n = 0; n < nodes_.size(); ++n)
            tets_.nodes[n] = nodes_[n] + c * node_way_[n];
        for (std::size_t e = 0; e < at_.size(); ++e)
            middles_.at[e] = at_[e] + c * middle_way_[e];
        for (const NodeCopy& copy : tets_.copies) // to the last bit
            tets_.nodes[copy.node] =
                tets_.nodes[copy.original] + copy.image.cast<double>().cwiseProduct(box_);
        for (const EdgeCopy& copy : edge_copies_)
            middles_.at[copy.edge] =
                middles_.at[copy.original] + copy.image.cast<double>().cwiseProduct(box_);
    }

    [[nodiscard]] double volume() const {
        double sum = 0.0;
        for (std::size_t t = 0; t < tets_.tets.size(); ++t)
            sum += curved_volume(ten_nodes(tets_, middles_, t));
        return sum;
    }

    /// Lets the middles of spoilt elements move as the mean of their ends. @return how many spoilt
    Index spare_spoilt() {
        Index spoilt = 0;
        for (std::size_t t = 0; t < tets_.tets.size(); ++t)
            if (!(smallest_jacobian_share(ten_nodes(tets_, middles_, t)) > least_share)) {
                ++spoilt;
                for (const Index edge : middles_.of_tet[t])
                    is_surface_[edge] = false;
            }
        for (const EdgeCopy& copy : edge_copies_)
            is_surface_[copy.original] = is_surface_[copy.original] && is_surface_[copy.edge];
        follow_ends();
        return spoilt;
    }

private:
    /// Edges of the surface that are not on a side of the box alone.
    void find_middles(const EdgeNumbers& numbers) {
        is_surface_.assign(middles_.ends.size(), false);
        for (const auto& face : outer_faces(tets_))
            if (!is_on_side(tets_, face))
                for (int i = 0; i < 3; ++i)
                    is_surface_[numbers.at(edge_key(face[i], face[(i + 1) % 3]))] = true;
    }

    void find_slopes(const ImplicitSolid& solid) {
        std::vector<Vec3> node_slope(nodes_.size(), Vec3::Zero());
        std::vector<Vec3> middle_slope(at_.size(), Vec3::Zero());
        double sum = 0.0;
        Index count = 0;
        const auto slope = [&](const Vec3& x, unsigned held) {
            const Vec3 g = field_gradient(solid, x, held, 1e-4 * solid.box.minCoeff());
            sum += g.norm();
            ++count;
            return g;
        };
        for (std::size_t n = 0; n < nodes_.size(); ++n)
            if (tets_.on_surface[n])
                node_slope[n] = slope(nodes_[n], tets_.held[n]);
        for (std::size_t e = 0; e < at_.size(); ++e)
            if (is_surface_[e])
                middle_slope[e] = slope(at_[e], tets_.held[middles_.ends[e][0]] &
                                                    tets_.held[middles_.ends[e][1]]);
        mean_slope_ = count > 0 ? sum / count : 0.0;
        const auto way = [&](const Vec3& g) -> Vec3 {
            const double size = g.norm();
            return size > 0.0 ? g / (size * std::max(size, least_slope * mean_slope_)) : g;
        };
        for (std::size_t n = 0; n < nodes_.size(); ++n)
            node_way_[n] = way(node_slope[n]);
        for (std::size_t e = 0; e < at_.size(); ++e)
            middle_way_[e] = way(middle_slope[e]);
    }

    /// Middles inside and of edges left straight move as the mean of their ends.
    void follow_ends() {
        for (std::size_t e = 0; e < at_.size(); ++e) {
            const auto [a, b] = middles_.ends[e];
            if (!is_surface_[e] || at_[e] == 0.5 * (nodes_[a] + nodes_[b]))
                middle_way_[e] = 0.5 * (node_way_[a] + node_way_[b]);
        }
    }

    LinearTets& tets_;
    EdgeMiddles& middles_;
    std::vector<Vec3> nodes_, at_; ///< before
    std::vector<Vec3> node_way_, middle_way_;
    std::vector<bool> is_surface_;
    std::vector<EdgeCopy> edge_copies_;
    Vec3 box_ = Vec3::Zero();
    double mean_slope_ = 0.0;
};

/// The c at which the volume is met, by secants; nothing where `largest` is not enough.
std::optional<double> solve(Swelling& swelling, double volume, double largest) {
    const auto error_at = [&](double c) {
        swelling.move_to(c);
        return swelling.volume() - volume;
    };
    double last_c = 1e-3 * largest, last_error = error_at(last_c);
    double c = 0.0, error = error_at(c);
    for (int round = 0; round < rounds && std::abs(error) > accuracy * volume; ++round) {
        const double slope = (error - last_error) / (c - last_c);
        if (!(slope > 0.0))
            return std::nullopt;
        last_c = c;
        last_error = error;
        c = std::clamp(c - error / slope, -largest, largest);
        if (c == last_c)
            return std::nullopt;
        error = error_at(c);
    }
    return std::abs(error) > accuracy * volume ? std::nullopt : std::optional(c);
}

} // namespace

double match_volume(LinearTets& tets,
                    EdgeMiddles& middles,
                    const ImplicitSolid& solid,
                    double volume,
                    double most) {
    Swelling swelling(tets, middles, solid);
    for (int attempt = 0; attempt < attempts; ++attempt) {
        const std::optional<double> c = solve(swelling, volume, most * swelling.mean_slope());
        if (!c)
            break;
        if (swelling.spare_spoilt() == 0)
            return *c / swelling.mean_slope();
    }
    swelling.move_to(0.0);
    return 0.0;
}

} // namespace cellgrade
