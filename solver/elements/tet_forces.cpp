// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/tet_forces.hpp"

#include "solver/elements/relaxation_step.hpp"
#include "solver/elements/tet_lanes.hpp"

#include <bit>
#include <limits>

namespace cellgrade {
namespace {

using lane::Columns;
using lane::Symmetric;

/// What every element of a call shares.
struct TetInput {
    const NodePoint* x;
    Relaxation terms;
    double per_dt;    ///< 1/dt, or 0 with dt = 0 [1/s]
    double mu;        ///< instantaneous [Pa]
    double variation; ///< stiffness against volume that varies inside an element [Pa]
    bool with_energy;
};

/// What a point keeps until the mean stress is known.
template <class S>
struct TetPoint {
    Columns<S> F;
    Symmetric<S> relaxed; ///< isochoric stress with Prony terms [Pa]
    Symmetric<S> spread;
    S volume;
};

template <class S>
CELLGRADE_INLINE Symmetric<S> load_symmetric(const Lanes* from, int lane) noexcept {
    return {load_lanes<S>(&from[0][lane]), load_lanes<S>(&from[1][lane]),
            load_lanes<S>(&from[2][lane]), load_lanes<S>(&from[3][lane]),
            load_lanes<S>(&from[4][lane]), load_lanes<S>(&from[5][lane])};
}

template <class S>
CELLGRADE_INLINE void store_symmetric(const Symmetric<S>& A, Lanes* to, int lane) noexcept {
    store_lanes<S>(A.xx, &to[0][lane]);
    store_lanes<S>(A.yy, &to[1][lane]);
    store_lanes<S>(A.zz, &to[2][lane]);
    store_lanes<S>(A.yz, &to[3][lane]);
    store_lanes<S>(A.xz, &to[4][lane]);
    store_lanes<S>(A.xy, &to[5][lane]);
}

/// tr(A C A C).
template <class S>
CELLGRADE_INLINE S squared_norm(const Symmetric<S>& A, const Symmetric<S>& C) noexcept {
    const S xx = A.xx * C.xx + A.xy * C.xy + A.xz * C.xz;
    const S xy = A.xx * C.xy + A.xy * C.yy + A.xz * C.yz;
    const S xz = A.xx * C.xz + A.xy * C.yz + A.xz * C.zz;
    const S yx = A.xy * C.xx + A.yy * C.xy + A.yz * C.xz;
    const S yy = A.xy * C.xy + A.yy * C.yy + A.yz * C.yz;
    const S yz = A.xy * C.xz + A.yy * C.yz + A.yz * C.zz;
    const S zx = A.xz * C.xx + A.yz * C.xy + A.zz * C.xz;
    const S zy = A.xz * C.xy + A.yz * C.yy + A.zz * C.yz;
    const S zz = A.xz * C.xz + A.yz * C.yz + A.zz * C.zz;
    return xx * xx + yy * yy + zz * zz + 2.0 * (xy * yx + xz * zx + yz * zy);
}

/// Advances the Prony terms of a point. 12 + 24 n_terms flops.
template <class S>
CELLGRADE_INLINE Symmetric<S>
relax(Lanes* values, int lane, const Symmetric<S>& S0, const Relaxation& terms) noexcept {
    const Symmetric<S> step = lane::combine(S(1.0), S0, S(-1.0), load_symmetric<S>(values, lane));
    store_symmetric(S0, values, lane);
    Symmetric<S> total = lane::scaled(S(terms.long_share), S0);
    for (int k = 0; k < terms.n_terms; ++k) {
        Lanes* at = values + 6 * (k + 1);
        const Symmetric<S> Q =
            lane::combine(S(terms.decay[k]), load_symmetric<S>(at, lane), S(terms.gain[k]), step);
        store_symmetric(Q, at, lane);
        total = lane::combine(S(1.0), total, S(1.0), Q);
    }
    return total;
}

/// What is left of an instantaneous isochoric stress and its energy.
template <class S>
struct Softened {
    Symmetric<S> stress;
    S stored;
    S kept{1.0}; ///< share of the stress
};

/// Stored energy of the isochoric part of a point.
template <class S>
CELLGRADE_INLINE S stored_share_energy(const Lanes* values,
                                       int lane,
                                       const Softened<S>& now,
                                       const Symmetric<S>& C,
                                       const TetInput& input) noexcept {
    if (input.terms.n_terms == 0)
        return now.stored;
    const S norm = squared_norm(now.stress, C);
    const auto rest = norm < 1e-12 * input.mu * input.mu;
    const S secant =
        select(rest, S(0.25 / input.mu / now.kept), now.stored / select(rest, S(1.0), norm));
    S branches(0.0);
    for (int k = 0; k < input.terms.n_terms; ++k)
        branches += input.terms.per_share[k] *
                    squared_norm(load_symmetric<S>(values + 6 * (k + 1), lane), C);
    return input.terms.long_share * now.stored + branches * secant;
}

/// Softens a point whose isochoric energy is W; `largest` is where its largest so far is kept.
template <class S>
CELLGRADE_INLINE Softened<S> soften(const MullinsDamage& damage,
                                    const Symmetric<S>& S0,
                                    const S& W,
                                    double* largest,
                                    bool with_energy) noexcept {
    const S before = load_lanes<S>(largest);
    const S W_max = select(W > before, W, before);
    store_lanes<S>(W_max, largest);
    const S kept = damage.kept(W, W_max);
    return {lane::scaled(kept, S0), with_energy ? damage.stored(W, W_max) : W, kept};
}

/// Isochoric stresses to softened and relaxed ones at all points; returns the stored energy if
/// asked for.
template <class S, class Law>
CELLGRADE_INLINE S relax_points(TetBlock& block,
                                const Law& law,
                                const TetInput& input,
                                Index e,
                                std::array<TetPoint<S>, 4>& points,
                                const std::array<Symmetric<S>, 4>& C,
                                const std::array<S, 4>& J) noexcept {
    const Index g = e / group_lanes;
    const int lane = e % group_lanes;
    S stored(0.0);
#pragma GCC unroll 1
    for (int q = 0; q < 4; ++q) {
        Lanes* const values = block.history_of(g) + 6 * block.n_values() * q;
        Softened<S> now{points[q].relaxed, S(0.0)};
        if (block.damage || input.with_energy)
            now.stored = law.shape_energy(C[q], J[q]);
        if (block.damage)
            now = soften(*block.damage, now.stress, now.stored,
                         &block.history_of(g)[24 * block.n_values() + q][lane], input.with_energy);
        points[q].relaxed =
            input.terms.n_terms > 0 ? relax(values, lane, now.stress, input.terms) : now.stress;
        if (input.with_energy)
            stored += load_lanes<S>(&block.groups[g].weight[q][lane]) *
                      stored_share_energy(values, lane, now, C[q], input);
    }
    return stored;
}

/// Viscous part of the mean stress; its work over the step by the trapezoidal rule, as the
/// integrator counts it, goes to `dissipated`.
template <class S>
CELLGRADE_INLINE S viscous_mean_stress(
    TetViscosity& state, int lane, const S& volume, const S& V, double per_dt) noexcept {
    const S step = volume - load_lanes<S>(&state.volume[lane]), rate = per_dt * step;
    const S pressed = select(rate < 0.0, S(-rate), S(0.0));
    const S p = rate * (load_lanes<S>(&state.linear[lane]) +
                        load_lanes<S>(&state.quadratic[lane]) * pressed);
    const S work = 0.5 * V * (p + load_lanes<S>(&state.mean_stress[lane])) * step;
    store_lanes<S>(load_lanes<S>(&state.dissipated[lane]) + work, &state.dissipated[lane]);
    store_lanes<S>(volume, &state.volume[lane]);
    store_lanes<S>(p, &state.mean_stress[lane]);
    return p;
}

/// Asks for a part of the next group: what fetches ahead in the processor stops at every page, and
/// a group is most of one.
template <class S>
CELLGRADE_INLINE void fetch_ahead(const TetGroup& group, int lane, int q) noexcept {
    constexpr int parts = 4 * group_lanes / lanes_of<S>;
    constexpr int bytes = static_cast<int>(sizeof(TetGroup)) / parts;
    const char* const from =
        reinterpret_cast<const char*>(&group + 1) + bytes * (4 * (lane / lanes_of<S>)+q);
    for (int i = 0; i < bytes; i += 64)
        __builtin_prefetch(from + i, 0, 3);
}

/// Where the forces of the elements go: to slots of their own, or through tiles to the nodes.
struct TetOutput {
    NodeForce* slots = nullptr;
    TetTiles* tiles = nullptr;
    NodeForce* force = nullptr;
    NodeSum* sums = nullptr; ///< of the thread
};

/// Lanes e % 8 onward of a group. Returns the bits of those that fail.
template <class S, class Law>
CELLGRADE_INLINE unsigned tet_lanes(TetBlock& block,
                                    const Law& law,
                                    const TetInput& input,
                                    Index e,
                                    const TetOutput& to,
                                    int n_used) noexcept {
    const Index g = e / group_lanes;
    const int lane = e % group_lanes;
    const TetGroup& group = block.groups[g];
    const lane::TetNodeVectors<S> x = load_nodes<S>(group, lane, input.x);
    const Columns<S> shared = lane::shared_slopes(x);
    std::array<TetPoint<S>, 4> points;
    S volume(0.0), V(0.0), stored(0.0);
    S n_inverted(0.0);
    std::array<Symmetric<S>, 4> C;
    std::array<S, 4> J;
#pragma GCC unroll 1
    for (int q = 0; q < 4; ++q) {
        fetch_ahead<S>(group, lane, q);
        points[q].F =
            lane::gradient(lane::slopes_at(x, shared, q), load_inverse<S>(group, lane, q));
        C[q] = lane::right_cauchy_green(points[q].F);
        J[q] = lane::determinant(points[q].F);
        n_inverted += select(J[q] > 0.0, S(0.0), S(1.0)); // also when J is NaN
    }
    // laws apart from the rest: their roots are long chains, four of which run side by side
#pragma GCC unroll 4
    for (int q = 0; q < 4; ++q) {
        const ShapeResponse<S> at = law.shape(C[q], J[q]);
        const S w = load_lanes<S>(&group.weight[q][lane]);
        volume += w * at.volume;
        V += w;
        points[q].volume = at.volume;
        points[q].spread = at.spread;
        points[q].relaxed = at.isochoric;
    }
    if (input.terms.n_terms > 0 || input.with_energy || block.damage)
        stored = relax_points(block, law, input, e, points, C, J);
    volume = volume / V;
    S mean_stress = law.mean_stress(volume);
    if (input.with_energy) {
        S variation(0.0);
        for (int q = 0; q < 4; ++q) {
            const S apart = points[q].volume - volume;
            variation += load_lanes<S>(&group.weight[q][lane]) * apart * apart;
        }
        store_lanes<S>(stored + V * law.volume_energy(volume) + 0.5 * input.variation * variation,
                       &block.stored[g][lane]);
    }
    if (!block.viscosity.empty())
        mean_stress += viscous_mean_stress(block.viscosity[g], lane, volume, V, input.per_dt);
    std::array<Columns<S>, 4> H;
#pragma GCC unroll 1
    for (int q = 0; q < 4; ++q) {
        const TetPoint<S>& point = points[q];
        const S p = mean_stress + input.variation * (point.volume - volume);
        const Symmetric<S> stress = lane::combine(S(1.0), point.relaxed, p, point.spread);
        H[q] = lane::slope_forces(lane::times(point.F, stress), load_inverse<S>(group, lane, q),
                                  S(-load_lanes<S>(&group.weight[q][lane])));
    }
    const lane::TetNodeVectors<S> force = lane::node_forces(H);
    if (to.tiles != nullptr)
        add_forces(force, &to.tiles->in_tile[g][0][lane], to.sums, n_used);
    else
        store_forces(force, to.slots + std::ptrdiff_t{10} * e, n_used);
    constexpr double largest = std::numeric_limits<double>::max();
    return lane_bits(!(n_inverted == 0.0 && mean_stress <= largest && mean_stress >= -largest));
}

/// The elements of tile k. Returns the lowest that fails, or no_index.
template <class S, class Law>
CELLGRADE_INLINE Index tile_forces(
    TetBlock& block, const Law& law, const TetInput& input, Index k, const TetOutput& to) noexcept {
    Index failed = no_index;
    const Index first = k * tile_elements;
    const Index end = std::min(first + tile_elements, block.n_elements);
    for (Index e = first; e < end; e += lanes_of<S>) {
        const int n_used = std::min(lanes_of<S>, end - e);
        const unsigned bits =
            tet_lanes<S>(block, law, input, e, to, n_used) & ((1U << n_used) - 1U);
        if (bits != 0U)
            failed = std::min(failed, e + std::countr_zero(bits));
    }
    return failed;
}

/// All tiles of a block. Returns the lowest element that fails, or no_index.
template <class S, class Law>
Index all_tiles(TetBlock& block, const Law& law, const TetInput& input, TetOutput to) noexcept {
    const Index n_tiles = (block.n_elements + tile_elements - 1) / tile_elements;
    Index failed = no_index;
#pragma omp parallel reduction(min : failed) firstprivate(to) if (block.n_elements > small_job)
    {
        std::array<NodeSum, most_tile_nodes> sums;
        to.sums = sums.data();
        if (to.tiles != nullptr)
            std::fill_n(to.sums, to.tiles->most_nodes, NodeSum{0.0, 0.0, 0.0, 0.0});
#pragma omp for schedule(static)
        for (Index k = 0; k < n_tiles; ++k) {
            failed = std::min(failed, tile_forces<S>(block, law, input, k, to));
            if (to.tiles != nullptr)
                hand_over_tile(*to.tiles, k, to.sums, to.force);
        }
    }
    return failed;
}

template <class S>
Index choose(TetBlock& block,
             std::span<const NodePoint> x,
             double dt,
             const TetOutput& to,
             WithEnergy energy) noexcept {
    const double mu = initial_moduli(block.law).mu0;
    const TetInput input{.x = x.data(),
                         .terms = Relaxation(block.prony, dt * block.clock_ratio),
                         .per_dt = dt > 0.0 ? 1.0 / dt : 0.0,
                         .mu = mu,
                         .variation = tet::variation_stiffness * mu,
                         .with_energy = energy == WithEnergy::Yes};
    return std::visit([&](const auto& law) { return all_tiles<S>(block, law, input, to); },
                      block.law);
}

double shape_flops(const AnyLaw& law) {
    return std::visit([](const auto& l) { return l.shape_flops; }, law);
}

} // namespace

Index tet_forces(TetBlock& block,
                 std::span<const NodePoint> x,
                 double dt,
                 std::span<NodeForce> slots,
                 WithEnergy energy) noexcept {
    return choose<Pack>(block, x, dt, {.slots = slots.data()}, energy);
}

Index tet_node_forces(TetBlock& block,
                      TetTiles& tiles,
                      std::span<const NodePoint> x,
                      double dt,
                      std::span<NodeForce> force,
                      WithEnergy energy) noexcept {
    const Index failed =
        choose<Pack>(block, x, dt, {.tiles = &tiles, .force = force.data()}, energy);
    sum_between_tiles(tiles, force);
    return failed;
}

Index tet_forces_scalar(TetBlock& block,
                        std::span<const NodePoint> x,
                        double dt,
                        std::span<NodeForce> slots,
                        WithEnergy energy) noexcept {
    return choose<double>(block, x, dt, {.slots = slots.data()}, energy);
}

double tet_flops(const TetBlock& block) {
    const auto n_terms = static_cast<double>(block.prony.size());
    const double prony = n_terms > 0.0 ? 12.0 + 24.0 * n_terms : 0.0;
    const double damage = block.damage ? shape_flops(block.law) + 96.0 : 0.0;
    return 267.0 + 4.0 * (233.0 + shape_flops(block.law) + prony + damage);
}

double tet_bytes(const TetBlock& block, const TetTiles& tiles) {
    const double nodes = 32.0 * block.n_nodes;
    return 360.0 + 16.0 * static_cast<double>(block.n_history()) +
           (nodes + tile_bytes(tiles)) / block.n_elements;
}

} // namespace cellgrade
