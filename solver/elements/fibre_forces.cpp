// SPDX-License-Identifier: Apache-2.0
#include "solver/elements/beam_lanes.hpp"
#include "solver/elements/fibre_block.hpp"
#include "solver/elements/relaxation_step.hpp"

#include <bit>
#include <cmath>
#include <cstdint>

namespace cellgrade {
namespace {

using lane::BeamState;
using lane::Vector;

/// What one channel gives: its stress, and the sum of q_i^2 / g_i for the stored energy.
template <class S>
struct Relaxed {
    S P;
    S branches;
};

/// Advances the values of a channel and returns its stress. Without terms nothing is kept. 2 + 4
/// n_terms flops.
template <class S, WithEnergy energy>
CELLGRADE_INLINE Relaxed<S>
relax(Lanes* values, int lane, const S& P0, const Relaxation& terms) noexcept {
    Relaxed<S> now{P0, S(0.0)};
    if (terms.n_terms == 0)
        return now;
    const S step = P0 - load_lanes<S>(&values[0][lane]);
    store_lanes<S>(P0, &values[0][lane]);
    now.P = terms.long_share * P0;
    for (int k = 0; k < terms.n_terms; ++k) {
        double* at = &values[k + 1][lane];
        const S q = terms.decay[k] * load_lanes<S>(at) + terms.gain[k] * step;
        store_lanes<S>(q, at);
        now.P += q;
        if constexpr (energy == WithEnergy::Yes)
            now.branches += terms.per_share[k] * q * q;
    }
    return now;
}

/// Instantaneous stress of the table and, if asked for, its energy.
template <class S>
struct TablePoint {
    S P;
    S W;
};

/// Whether the points of a block soften.
enum class Damaged : bool { No, Yes };

/// 12 flops. The cell number is rounded by adding 1.5 * 2^52, which leaves it in the low bits: no
/// conversion to integers, and a NaN ends in cell 0.
template <class S, bool with_work>
CELLGRADE_INLINE TablePoint<S> look_up(const FibreTable& table, const S& stretch) noexcept {
    constexpr double magic = 6755399441055744.0;
    const S y = stretch * table.per_step + table.shift;
    const S above = select(y > table.first, y, S(table.first));
    const S inside = select(above < table.last, above, S(table.last));
    const S marked = (inside - 0.5) + magic;
    const S t = y - (marked - magic);
    alignas(64) std::array<double, lanes_of<S>> bits;
    store_lanes<S>(marked, bits.data());
    std::array<std::int32_t, lanes_of<S>> cell;
    for (int i = 0; i < lanes_of<S>; ++i)
        cell[i] = static_cast<std::int32_t>(std::bit_cast<std::int64_t>(bits[i]) & 0xffffffff);
    const auto [c0, c1, c2, c3] = load_quads<S>(&table.cells[0].c0, cell.data());
    TablePoint<S> point{c0 + t * (c1 + t * (c2 + t * c3)), S(0.0)};
    if constexpr (with_work) {
        for (int i = 0; i < lanes_of<S>; ++i)
            bits[i] = table.energy[cell[i]];
        const S work = t * (c0 + t * (0.5 * c1 + t * (c2 * (1.0 / 3.0) + t * (0.25 * c3))));
        point.W = load_lanes<S>(bits.data()) + work * (1.0 / table.per_step);
    }
    return point;
}

/// Softens a channel by its energy; `largest` is where the largest so far is kept. With energies W
/// becomes what unloading gives back. Returns the share of P that is kept.
template <class S, WithEnergy energy>
CELLGRADE_INLINE S soften(const MullinsDamage& damage,
                          TablePoint<S>& now,
                          double* largest) noexcept {
    const S before = load_lanes<S>(largest);
    const S W_max = select(now.W > before, now.W, before);
    store_lanes<S>(W_max, largest);
    const S kept = damage.kept(now.W, W_max);
    now.P = kept * now.P;
    if constexpr (energy == WithEnergy::Yes)
        now.W = damage.stored(now.W, W_max);
    return kept;
}

/// A channel after softening and relaxation, and its stored energy [J/m^3] if asked for.
template <class S>
struct Channel {
    S P;
    S stored;
};

/// Softens and relaxes a channel.
/// @param secant  W / P^2 without damage near rest, below 1e-6 of `scale`, where the quotient has
/// no digits left
template <class S, WithEnergy energy, Damaged damaged>
CELLGRADE_INLINE Channel<S> advance(const FibreBlock& block,
                                    Lanes* values,
                                    int lane,
                                    TablePoint<S> now,
                                    const Relaxation& terms,
                                    const S& secant,
                                    double scale) noexcept {
    S rest_ratio = secant;
    if constexpr (damaged == Damaged::Yes)
        rest_ratio =
            secant / soften<S, energy>(*block.damage, now, &values[block.n_values() - 1][lane]);
    const Relaxed<S> stress = relax<S, energy>(values, lane, now.P, terms);
    Channel<S> channel{stress.P, S(0.0)};
    if constexpr (energy == WithEnergy::Yes) {
        const auto rest = now.P * now.P < 1e-12 * scale * scale;
        const S ratio = select(rest, rest_ratio, now.W / select(rest, S(1.0), now.P * now.P));
        channel.stored = terms.long_share * now.W + stress.branches * ratio;
    }
    return channel;
}

/// Resultants and stored energy per length of one run of lanes.
template <class S>
struct Section {
    Vector<S> N;
    Vector<S> M;
    S stored;
};

/// Fibre sums over shares of the area: mean stress, and mean stress times y and z.
template <class S, WithEnergy energy, Damaged damaged>
CELLGRADE_INLINE Section<S> sum_fibres(const FibreBlock& block,
                                       Lanes* history,
                                       int lane,
                                       const Relaxation& terms,
                                       const Vector<S>& bend) noexcept {
    Section<S> sum{{S(0.0), S(0.0), S(0.0)}, {S(0.0), S(0.0), S(0.0)}, S(0.0)};
    const std::size_t n_values = block.n_values();
    const FibreTable& table = block.table;
    for (const DiscPoint& point : block.points) {
        // bend = (1 + Gamma1, R kappa2, R kappa3)
        const S stretch = bend.x + bend.y * point.z - bend.z * point.y;
        const TablePoint<S> now = look_up < S,
                            energy == WithEnergy::Yes || damaged == Damaged::Yes > (table, stretch);
        const Channel<S> fibre = advance<S, energy, damaged>(block, history, lane, now, terms,
                                                             S(0.5 / table.youngs), table.youngs);
        history += n_values;
        const S part = point.share * fibre.P;
        sum.N.x += part;
        sum.M.y += point.z * part;
        sum.M.z -= point.y * part;
        if constexpr (energy == WithEnergy::Yes)
            sum.stored += point.share * fibre.stored;
    }
    return sum;
}

/// A shear or the twist: a strain that goes as a stress does, of energy `half` strain^2.
template <class S, WithEnergy energy, Damaged damaged>
CELLGRADE_INLINE Channel<S> advance_strain(const FibreBlock& block,
                                           Lanes* values,
                                           int lane,
                                           const S& strain,
                                           const Relaxation& terms,
                                           const S& half) noexcept {
    return advance<S, energy, damaged>(block, values, lane, {strain, half * strain * strain}, terms,
                                       half, 1.0);
}

template <class S, WithEnergy energy, Damaged damaged>
CELLGRADE_INLINE Section<S>
section_of(FibreBlock& block, Index e, const Relaxation& terms, const BeamState<S>& s) noexcept {
    const BeamGroup& beam = block.beams.groups[e / group_lanes];
    const FibreGroup& fibre = block.groups[e / group_lanes];
    const int lane = e % group_lanes;
    Lanes* history = block.history.data() + static_cast<std::size_t>(e / group_lanes) *
                                                block.n_channels() * block.n_values();
    const S area = load_lanes<S>(&fibre.area[lane]), radius = load_lanes<S>(&fibre.radius[lane]);
    const S kGA = load_lanes<S>(&beam.kGA[lane]), GJ = load_lanes<S>(&beam.GJ[lane]);
    Section<S> section = sum_fibres<S, energy, damaged>(
        block, history, lane, terms, {1.0 + s.Gamma.x, radius * s.kappa.y, radius * s.kappa.z});
    history += block.points.size() * block.n_values();
    // shear and twist go as strains: unused lanes have no stiffness to divide by
    const S half_shear(0.5 * block.mean_shear);
    const Channel<S> shear_y =
        advance_strain<S, energy, damaged>(block, history, lane, s.Gamma.y, terms, half_shear);
    history += block.n_values();
    const Channel<S> shear_z =
        advance_strain<S, energy, damaged>(block, history, lane, s.Gamma.z, terms, half_shear);
    history += block.n_values();
    const Channel<S> twist = advance_strain<S, energy, damaged>(
        block, history, lane, s.kappa.x, terms, S(0.5 * block.mean_twist * radius * radius));
    const S moment = area * radius;
    section.N = {area * section.N.x, kGA * shear_y.P, kGA * shear_z.P};
    section.M = {GJ * twist.P, moment * section.M.y, moment * section.M.z};
    if constexpr (energy == WithEnergy::Yes)
        section.stored = area * (section.stored + shear_y.stored + shear_z.stored + twist.stored);
    return section;
}

template <class S>
CELLGRADE_INLINE Vector<S> load_vector(const std::array<Lanes, 3>& v, int lane) noexcept {
    return {load_lanes<S>(&v[0][lane]), load_lanes<S>(&v[1][lane]), load_lanes<S>(&v[2][lane])};
}

template <class S>
CELLGRADE_INLINE void
store_vector(const Vector<S>& v, std::array<Lanes, 3>& to, int lane) noexcept {
    store_lanes<S>(v.x, &to[0][lane]);
    store_lanes<S>(v.y, &to[1][lane]);
    store_lanes<S>(v.z, &to[2][lane]);
}

/// Adds the work of N and M since the last call by the trapezoidal rule, as the integrator counts
/// it, and keeps strains and resultants for the next.
template <class S>
CELLGRADE_INLINE void keep_state(FibreGroup& group,
                                 int lane,
                                 const S& h,
                                 const BeamState<S>& s,
                                 const Section<S>& section) noexcept {
    const Vector<S> stretch = s.Gamma - load_vector<S>(group.Gamma, lane);
    const Vector<S> bend = s.kappa - load_vector<S>(group.kappa, lane);
    const S work = dot(section.N + load_vector<S>(group.N, lane), stretch) +
                   dot(section.M + load_vector<S>(group.M, lane), bend);
    store_lanes<S>(load_lanes<S>(&group.work[lane]) + 0.5 * h * work, &group.work[lane]);
    store_vector(s.Gamma, group.Gamma, lane);
    store_vector(s.kappa, group.kappa, lane);
    store_vector(section.N, group.N, lane);
    store_vector(section.M, group.M, lane);
}

template <class S, WithEnergy energy, Damaged damaged>
CELLGRADE_INLINE unsigned fibre_lanes(FibreBlock& block,
                                      Index e,
                                      const Relaxation& terms,
                                      const BeamInput& input,
                                      NodeLoad* slots,
                                      int n_used) noexcept {
    BeamGroup& beam = block.beams.groups[e / group_lanes];
    FibreGroup& fibre = block.groups[e / group_lanes];
    const int lane = e % group_lanes;
    const S h = load_lanes<S>(&beam.h[lane]);
    const BeamState<S> s = state_of_lanes<S>(beam, lane, input);
    Section<S> section = section_of<S, energy, damaged>(block, e, terms, s);
    keep_state(fibre, lane, h, s, section);
    if constexpr (energy == WithEnergy::Yes) {
        const S stored = h * section.stored;
        store_lanes<S>(stored, &beam.stored[lane]);
        // a section without memory dissipates nothing: the rest is the trapezoid's own error
        if (terms.n_terms > 0 || damaged == Damaged::Yes)
            store_lanes<S>(load_lanes<S>(&fibre.work[lane]) - stored, &fibre.relaxed[lane]);
    }
    if (block.beams.has_viscosity)
        section.N.x += viscous_force(beam, lane, s, input.per_dt);
    store_loads(lane::beam_loads(s, section.N, section.M), slots, n_used);
    return lane_bits(!is_sound(s));
}

template <class S, WithEnergy energy, Damaged damaged>
Index all_fibres(FibreBlock& block, const BeamInput& input, NodeLoad* slots) noexcept {
    const Relaxation terms(block.prony, input.dt * block.clock_ratio);
    return for_lanes<S>(
        block.beams, [&](BeamGroup&, Index e, int n_used) __attribute__((always_inline)) {
            return fibre_lanes<S, energy, damaged>(block, e, terms, input, slots + 2 * e, n_used);
        });
}

template <class S, WithEnergy energy>
Index choose(FibreBlock& block, const BeamInput& input, NodeLoad* slots) noexcept {
    return block.damage ? all_fibres<S, energy, Damaged::Yes>(block, input, slots)
                        : all_fibres<S, energy, Damaged::No>(block, input, slots);
}

template <class S>
Index choose(FibreBlock& block,
             const BeamInput& input,
             NodeLoad* slots,
             WithEnergy energy) noexcept {
    return energy == WithEnergy::Yes ? choose<S, WithEnergy::Yes>(block, input, slots)
                                     : choose<S, WithEnergy::No>(block, input, slots);
}

} // namespace

Index beam_forces(FibreBlock& block,
                  std::span<const NodePose> poses,
                  const Vec3& box,
                  double dt,
                  std::span<NodeLoad> slots,
                  WithEnergy energy) noexcept {
    return choose<Pack>(block, BeamInput(poses, box, dt), slots.data(), energy);
}

Index beam_forces_scalar(FibreBlock& block,
                         std::span<const NodePose> poses,
                         const Vec3& box,
                         double dt,
                         std::span<NodeLoad> slots,
                         WithEnergy energy) noexcept {
    return choose<double>(block, BeamInput(poses, box, dt), slots.data(), energy);
}

} // namespace cellgrade
