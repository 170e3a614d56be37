// SPDX-License-Identifier: Apache-2.0
#include "meshes/print/bar_tile.hpp"

#include "meshes/tets/stuffing_grid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <unordered_map>

namespace cellgrade {

namespace {

constexpr double least_share = 0.02; ///< of an edge, between a corner of the surface and its ends
constexpr int most_rounds = 12;      ///< regula falsi: three or four do on round bars

constexpr double cubes_a_block = 6.0; ///< whose bars are looked up at once

/// Share of the way from a place inside to one outside where the function is 0.
double root(const BarTile& tile, const Vec3& in, const Vec3& out, double f_in, double f_out) {
    double low = 0.0, high = 1.0, t = 0.5;
    int side = 0;
    for (int round = 0; round < most_rounds; ++round) {
        t = (low * f_out - high * f_in) / (f_out - f_in);
        const double f = tile.value(in + t * (out - in));
        if (std::abs(f) < 1e-9 * (out - in).norm())
            break;
        if (f < 0.0) { // Illinois: halve the end that stays twice
            low = t, f_in = f;
            f_out *= side == -1 ? 0.5 : 1.0;
            side = -1;
        } else {
            high = t, f_out = f;
            f_in *= side == 1 ? 0.5 : 1.0;
            side = 1;
        }
    }
    return std::clamp(t, least_share, 1.0 - least_share);
}

class March {
public:
    March(const BarTile& tile, const Vec3i& cubes)
        : tile_(tile), grid_(tile.box(), {cubes.x(), cubes.y(), cubes.z()}), ends_(2 * cubes),
          f_(grid_.n_nodes()) {
        for (Index node = 0; node < grid_.n_nodes(); ++node)
            f_[node] = tile.value(grid_.position(node));
        for (Index k = 0; k < cubes.z(); ++k)
            grid_.for_each_tet(k, [&](const std::array<Index, 4>& tet) { add(tet); });
    }
    TileSurface surface;

private:
    void add(const std::array<Index, 4>& tet) {
        int inside = 0;
        for (int i = 0; i < 4; ++i)
            inside |= f_[tet[i]] < 0.0 ? 1 << i : 0;
        if (inside == 0 || inside == 15)
            return;
        // even permutations, so that b c d run counter-clockwise seen from outside of a
        constexpr std::array<std::array<int, 4>, 4> lone = {
            {{0, 1, 2, 3}, {1, 0, 3, 2}, {2, 3, 0, 1}, {3, 2, 1, 0}}};
        for (const auto& [a, b, c, d] : lone) {
            if (inside == 1 << a) {
                triangle(cut(tet[a], tet[b]), cut(tet[a], tet[c]), cut(tet[a], tet[d]));
                return;
            }
            if (inside == 15 - (1 << a)) {
                triangle(cut(tet[b], tet[a]), cut(tet[d], tet[a]), cut(tet[c], tet[a]));
                return;
            }
        }
        constexpr std::array<std::array<int, 4>, 6> pairs = {
            {{0, 1, 2, 3}, {0, 2, 3, 1}, {0, 3, 1, 2}, {1, 2, 0, 3}, {1, 3, 2, 0}, {2, 3, 0, 1}}};
        for (const auto& [a, b, c, d] : pairs)
            if (inside == (1 << a | 1 << b))
                quadrilateral({cut(tet[a], tet[c]), cut(tet[a], tet[d]), cut(tet[b], tet[d]),
                               cut(tet[b], tet[c])});
    }

    void triangle(Index a, Index b, Index c) { surface.triangles.push_back({a, b, c}); }

    void quadrilateral(const std::array<Index, 4>& r) {
        const auto& x = surface.points;
        if ((x[r[0]] - x[r[2]]).squaredNorm() <= (x[r[1]] - x[r[3]]).squaredNorm()) {
            triangle(r[0], r[1], r[2]);
            triangle(r[0], r[2], r[3]);
        } else {
            triangle(r[1], r[2], r[3]);
            triangle(r[1], r[3], r[0]);
        }
    }

    Index cut(Index in, Index out) {
        const auto [low, high] = std::minmax(in, out);
        const auto [known, is_new] =
            corners_.try_emplace(static_cast<std::uint64_t>(low) << 32U | unsigned(high),
                                 static_cast<Index>(surface.points.size()));
        if (!is_new)
            return known->second;
        const Vec3 from = grid_.position(in), to = grid_.position(out);
        surface.points.emplace_back(from + root(tile_, from, to, f_[in], f_[out]) * (to - from));
        const Vec3i p = grid_.half_steps(in), q = grid_.half_steps(out);
        bool on_side = false;
        for (int k = 0; k < 3; ++k)
            on_side = on_side || (p[k] == q[k] && (p[k] == 0 || p[k] == ends_[k]));
        surface.on_rim.push_back(on_side);
        surface.rim.emplace_back(p + q);
        return known->second;
    }

    const BarTile& tile_;
    StuffingGrid grid_;
    Vec3i ends_; ///< half cubes along each axis
    std::vector<double> f_;
    std::unordered_map<std::uint64_t, Index> corners_;
};

} // namespace

BarTile::BarTile(std::vector<CutBar> bars, const Vec3& box, double cube, double far)
    : bars_(std::move(bars)), box_(box), far_(far), edge_(cubes_a_block * cube) {
    for (int k = 0; k < 3; ++k)
        n_[k] = std::max(1, static_cast<int>(std::ceil(box[k] / edge_)));
    const double half_diagonal = 0.5 * std::sqrt(3.0) * edge_;
    first_in_.push_back(0);
    for (int k = 0; k < n_.z(); ++k)
        for (int j = 0; j < n_.y(); ++j)
            for (int i = 0; i < n_.x(); ++i) {
                const Vec3 middle = edge_ * (Vec3(i, j, k) + Vec3::Constant(0.5));
                for (std::size_t b = 0; b < bars_.size(); ++b)
                    if (bars_[b].value(middle) <= half_diagonal + far)
                        listed_.push_back(static_cast<Index>(b));
                first_in_.push_back(static_cast<Index>(listed_.size()));
            }
}

std::size_t BarTile::block_of(const Vec3& x) const noexcept {
    Vec3i at;
    for (int k = 0; k < 3; ++k)
        at[k] = std::clamp(static_cast<int>(x[k] / edge_), 0, n_[k] - 1);
    return (static_cast<std::size_t>(at.z()) * n_.y() + at.y()) * n_.x() + at.x();
}

double BarTile::value(const Vec3& x) const noexcept {
    const std::size_t block = block_of(x);
    double least = 2.0 * far_;
    for (Index k = first_in_[block]; k < first_in_[block + 1]; ++k)
        least = std::min(least, bars_[listed_[k]].value(x));
    return least;
}

TileSurface march_tile(const BarTile& tile, const Vec3i& cubes) {
    return March(tile, cubes).surface;
}

} // namespace cellgrade
