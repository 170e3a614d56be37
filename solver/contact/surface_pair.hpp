// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <cstdint>
#include <span>

namespace cellgrade {

/// A vertex and a triangle, or two edges, that may touch: four vertices, one cache line.
struct alignas(64) SurfacePair {
    enum class Kind : std::uint8_t { VertexTriangle, EdgeEdge };

    std::array<Index, 4> vertex{}; ///< vertex, then the triangle; or the ends of edge, edge
    std::array<std::array<std::int16_t, 3>, 4> image{}; ///< boxes by which each is moved
    Kind kind = Kind::VertexTriangle;
    bool has_image = false; ///< any of them is moved
    double layer = 0.0;     ///< distance below which the pair is in contact [m]
    double stiffness = 0.0; ///< at first touch [N/m]

    /// Where vertex `k` of the pair is, from the positions of all vertices [m].
    [[nodiscard]] Vec3 place(int k, std::span<const Vec3> x, const Vec3& box) const {
        Vec3 at = x[vertex[k]];
        if (has_image)
            for (int i = 0; i < 3; ++i)
                at[i] += image[k][i] != 0 ? image[k][i] * box[i] : 0.0;
        return at;
    }
};
static_assert(sizeof(SurfacePair) == 64);

using PairPlaces = std::array<Vec3, 4>;

/// The nearest points p and q of the two sides of a pair, p - q = sum c_i x_i. Outside the step;
/// inside it, and for weights and slides, see pair_kernel.hpp.
struct NearestPoints {
    std::array<double, 4> share{};  ///< c_i: sums to 1 over side p and to -1 over side q
    Vec3 difference = Vec3::Zero(); ///< p - q [m]
    double distance = 0.0;          ///< [m]
};

[[nodiscard]] NearestPoints nearest_points(SurfacePair::Kind kind, const PairPlaces& x) noexcept;

} // namespace cellgrade
