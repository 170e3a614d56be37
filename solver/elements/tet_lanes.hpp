// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/pack.hpp"
#include "solver/elements/tet_block.hpp"
#include "solver/elements/tet_kernel.hpp"
#include "solver/elements/thread_count.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <utility>

/// Between memory and the tetrahedron kernel. Inside `solver/elements` only.
namespace cellgrade {

template <class S>
[[nodiscard]] CELLGRADE_INLINE lane::TetNodeVectors<S>
load_nodes(const TetGroup& group, int lane, const NodePoint* x) noexcept {
    lane::TetNodeVectors<S> nodes;
    for (int a = 0; a < 10; ++a) {
        const std::array<S, 4> at = load_quads<S>(&x->x, &group.nodes[a][lane]);
        nodes[a] = {at[0], at[1], at[2]};
    }
    return nodes;
}

template <class S>
[[nodiscard]] CELLGRADE_INLINE std::array<S, 9>
load_inverse(const TetGroup& group, int lane, int q) noexcept {
    std::array<S, 9> A;
    for (int i = 0; i < 9; ++i)
        A[i] = load_lanes<S>(&group.inv_J0[q][i][lane]);
    return A;
}

/// Component i of 30 of the ten forces; zero past the last.
template <int i, class S>
[[nodiscard]] CELLGRADE_INLINE S component_of(const lane::TetNodeVectors<S>& f) noexcept {
    if constexpr (i >= 30)
        return S(0.0);
    else if constexpr (i % 3 == 0)
        return f[i / 3].x;
    else if constexpr (i % 3 == 1)
        return f[i / 3].y;
    else
        return f[i / 3].z;
}

/// Writes components `part` to `part` + lanes - 1 of each element, turned in registers. Component
/// by component: an array of packs copied as a whole goes through memory in halves, and the load
/// that follows waits for them (a quarter of the kernel's time).
template <int part, class S, int... i>
CELLGRADE_INLINE void store_part(const lane::TetNodeVectors<S>& f,
                                 double* to,
                                 int n_used,
                                 std::integer_sequence<int, i...> /*lanes*/) noexcept {
    constexpr int width = lanes_of<S>;
    constexpr std::size_t n_bytes =
        sizeof(double) * static_cast<std::size_t>(std::min(width, 30 - part));
    std::array<S, width> square;
    ((square[i] = component_of<part + i>(f)), ...);
    transpose(square);
    if (n_used >= width) {
        (std::memcpy(to + 30 * i + part, &square[i], n_bytes), ...);
    } else {
        for (int row = 0; row < n_used; ++row)
            std::memcpy(to + 30 * row + part, &square[row], n_bytes);
    }
    if constexpr (part + width < 30)
        store_part<part + width>(f, to, n_used, std::integer_sequence<int, i...>{});
}

/// Writes the thirty force components of n_used elements, element after element, so that a slot is
/// whole when a node gathers it.
template <class S>
CELLGRADE_INLINE void
store_forces(const lane::TetNodeVectors<S>& f, NodeForce* slots, int n_used) noexcept {
    if constexpr (lanes_of<S> == 1) {
        for (int a = 0; a < 10; ++a)
            slots[a] = {f[a].x, f[a].y, f[a].z};
    } else {
        store_part<0>(f, &slots->x, n_used, std::make_integer_sequence<int, lanes_of<S>>{});
    }
}

/// Adds ten forces of n_used elements to the sums of their nodes, element after element.
/// @param in_tile  number of node a of lane i at place 8 a + i
template <class S>
CELLGRADE_INLINE void add_forces(const lane::TetNodeVectors<S>& f,
                                 const std::uint16_t* in_tile,
                                 NodeSum* sums,
                                 int n_used) noexcept {
    for (int a = 0; a < 10; ++a) {
        const std::uint16_t* const node = in_tile + group_lanes * a;
        add_triples(
            f[a].x, f[a].y, f[a].z,
            n_used, [&](int i) __attribute__((always_inline)) { return &sums[node[i]].x; });
    }
}

/// Calls kernel(first element, elements used) for every run of lanes_of<S> elements and returns
/// the lowest element whose bit it sets.
template <class S, class Kernel>
Index for_tet_lanes(Index n_elements, Kernel&& kernel) noexcept {
    const Index n_runs = (n_elements + lanes_of<S> - 1) / lanes_of<S>;
    Index failed = no_index;
#pragma omp parallel for schedule(static) reduction(min : failed) if (n_elements > small_job)
    for (Index run = 0; run < n_runs; ++run) {
        const Index e = run * lanes_of<S>;
        const int n_used = std::min(lanes_of<S>, n_elements - e);
        const unsigned bits = kernel(e, n_used) & ((1U << n_used) - 1U);
        if (bits != 0U)
            failed = std::min(failed, e + std::countr_zero(bits));
    }
    return failed;
}

} // namespace cellgrade
