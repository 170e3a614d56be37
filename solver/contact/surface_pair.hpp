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

/// The nearest points p and q of the two sides of a pair, p - q = sum c_i x_i.
struct NearestPoints {
    std::array<double, 4> share{};  ///< c_i: sums to 1 over side p and to -1 over side q
    Vec3 difference = Vec3::Zero(); ///< p - q [m]
    double distance = 0.0;          ///< [m]
};

/// Weight of a pair of edges by the angle between them, 0 for parallel edges.
///
///   z = |u x v|^2 / (|u|^2 |v|^2 sin^2(theta_0))       w = z (2 - z) below z = 1, else 1
///
/// The place where near-parallel edges are nearest jumps along them with the least tilt; there the
/// vertices at their ends feel the other surface, so the edges need not. Ends of edges of length L
/// that cross at an angle below theta_0 are within sin(theta_0) L / 2 of the other edge sideways,
/// which a layer of 0.15 L covers. w is once continuously differentiable and does not change with
/// rigid motion. Source: mollifier after Li et al. (2020), Incremental Potential Contact, sec. 4.5,
/// taken relative to current lengths; theta_0 wider, so that the stiffness of w stays below that of
/// the contact itself.
struct EdgeWeight {
    static constexpr double sin_full = 0.25; ///< sine of theta_0

    double value = 1.0;
    Vec3 by_u = Vec3::Zero(); ///< dw/du [1/m], u = x1 - x0
    Vec3 by_v = Vec3::Zero(); ///< dw/dv [1/m], v = x3 - x2
};

[[nodiscard]] NearestPoints nearest_points(SurfacePair::Kind kind, const PairPlaces& x) noexcept;
[[nodiscard]] EdgeWeight edge_weight(const Vec3& u, const Vec3& v) noexcept;

/// Slide of side p over side q as the four vertices move, without the share of rigid rotation.
///
///   slide = P (sum c_i v_i - omega x (p - q))     omega = J^-1 sum a_i x v_i,  a_i = x_i - mean
///   f_i   = c_i T - (J^-1 ((p - q) x T)) x a_i    forces that do the work T . slide
///
/// P takes out the normal, J is the inertia of four unit masses. Since no rigid motion gives a
/// slide, the forces of a traction T balance in force and moment though it acts across the gap.
struct PairSlide {
    PairSlide(const PairPlaces& x, const NearestPoints& nearest) noexcept;

    [[nodiscard]] Vec3 rate(const PairPlaces& velocity) const noexcept;
    /// Forces on the vertices of a traction on side p, normal to p - q.
    [[nodiscard]] PairPlaces forces(const Vec3& traction) const noexcept;

    Vec3 normal = Vec3::Zero(); ///< (p - q) / |p - q|

private:
    const NearestPoints& nearest_;
    PairPlaces arm_;                        ///< a_i
    std::array<double, 6> inverse_inertia_; ///< xx yy zz yz xz xy
};

} // namespace cellgrade
