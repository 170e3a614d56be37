// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <array>
#include <compare>
#include <span>
#include <vector>

namespace cellgrade {

/// An element as a capsule, one cache line.
struct alignas(64) Capsule {
    double x = 0.0, y = 0.0, z = 0.0;    ///< end a [m]
    double ux = 0.0, uy = 0.0, uz = 0.0; ///< end b - end a [m]
    double radius = 0.0;                 ///< [m]
    double reference_length = 0.0;       ///< [m]

    [[nodiscard]] Vec3 start() const { return {x, y, z}; }
    [[nodiscard]] Vec3 along() const { return {ux, uy, uz}; }
};
static_assert(sizeof(Capsule) == 64);

/// Element `first` and element `second` moved by `shift` boxes. Canonical: first < second, or
/// first == second (an element and its own image) with the first non-zero of `shift` positive.
struct PairKey {
    Index first = no_index;
    Index second = no_index;
    std::array<Index, 3> shift{};

    auto operator<=>(const PairKey&) const = default;
};

/// The canonical key of element a and element b moved by `shift`.
[[nodiscard]] PairKey canonical_pair(Index a, Index b, const Vec3i& shift);

/// Weight of the regularisation of a pair: eps times the squared mean reference length [m^2].
[[nodiscard]] inline double pair_weight(const Capsule& a, const Capsule& b, double eps) noexcept {
    const double l = 0.5 * (a.reference_length + b.reference_length);
    return eps * l * l;
}

/// Where and how far to look for pairs.
struct SearchSpace {
    Vec3 box = Vec3::Zero();        ///< periods [m], read along periodic axes only
    std::array<bool, 3> periodic{}; ///< along x, y, z
    double margin = 0.0;            ///< pairs with D < r_a + r_b + margin are wanted [m]
    double regularisation = 0.0;    ///< eps of the closest points
};

/// All canonical pairs with D < r_a + r_b + margin, sorted; joints are not left out here.
///
/// Uniform grid over the middles of the elements wrapped into the box, cells as wide as the widest
/// bounding ball plus margin, filled by counting sort; fixed chunks of elements search in parallel
/// and are joined in order, so the list is the same for any number of threads. Cost is linear in
/// the number of elements as long as their lengths are alike. Allocates.
/// @param n_tested  if not null, receives the number of ball tests made
[[nodiscard]] std::vector<PairKey> find_close_pairs(std::span<const Capsule> capsules,
                                                    const SearchSpace& space,
                                                    std::size_t* n_tested = nullptr);

} // namespace cellgrade
