// SPDX-License-Identifier: Apache-2.0
// The pairs of SurfaceContact in a step, as many at once as the machine has lanes.
#include "solver/contact/friction_kernel.hpp"
#include "solver/contact/lane_bits.hpp"
#include "solver/contact/pair_kernel.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/contact/surface_contact.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>

namespace cellgrade {
namespace {

using Mask = Pack::mask_type;
constexpr int width = lanes_of<Pack>;

/// Pairs side by side; lanes past the last used one repeat it.
struct PairGroup {
    alignas(64) Index number[width];
    alignas(64) Index vertex[4][width];
    alignas(64) double layer[width], stiffness[width];
    alignas(64) double image[4][3][width]; ///< set if has_image
    int n_used = 0;
    bool has_image = false;

    PairGroup(const std::vector<SurfacePair>& pairs, const Index* numbers, int n) : n_used(n) {
        for (int i = 0; i < width; ++i) {
            number[i] = numbers[std::min(i, n - 1)];
            const SurfacePair& pair = pairs[number[i]];
            for (int place = 0; place < 4; ++place)
                vertex[place][i] = pair.vertex[place];
            layer[i] = pair.layer;
            stiffness[i] = pair.stiffness;
            has_image = has_image || pair.has_image;
        }
        if (has_image)
            for (int i = 0; i < width; ++i)
                for (int place = 0; place < 4; ++place)
                    for (int axis = 0; axis < 3; ++axis)
                        image[place][axis][i] = pairs[number[i]].image[place][axis];
    }

    /// Values of the four vertices, moved by whole boxes.
    [[nodiscard]] CELLGRADE_INLINE lane::PairVectors<Pack>
    places(const std::vector<NodePoint>& of_vertex, const Vec3& box) const noexcept {
        lane::PairVectors<Pack> at;
        for (int place = 0; place < 4; ++place) {
            const auto quad = load_quads<Pack>(&of_vertex.front().x, vertex[place]);
            at[place] = {quad[0], quad[1], quad[2]};
        }
        if (has_image)
            for (int place = 0; place < 4; ++place) {
                const auto moved = [&](int axis) {
                    const Pack boxes = load_lanes<Pack>(image[place][axis]);
                    return select(boxes != 0.0, boxes * box[axis], Pack(0.0));
                };
                at[place] = at[place] + lane::Vector<Pack>(moved(0), moved(1), moved(2));
            }
        return at;
    }

    /// Bit i set where lane i is used and holds.
    [[nodiscard]] unsigned bits(const Mask& mask) const noexcept {
        return lane_bits(mask) & ((1U << n_used) - 1U);
    }
};

Pack larger(const Pack& a, const Pack& b) noexcept {
    return select(a > b, a, b);
}

/// Lanes in memory.
struct Lanes {
    alignas(64) double value[width];
    explicit Lanes(const Pack& pack) noexcept { store_lanes(pack, value); }
    double operator[](int lane) const noexcept { return value[lane]; }
};

/// Whether the nearest points came as near to each other in the step as they are now, or nearer.
Mask may_have_passed(const lane::Nearest<Pack>& near,
                     const lane::PairVectors<Pack>& velocity,
                     double dt) noexcept {
    lane::Vector<Pack> apart = near.share[0] * velocity[0];
    for (int i = 1; i < 4; ++i)
        apart = apart + near.share[i] * velocity[i];
    const Pack nearer = dot(near.difference, apart) * dt, all = near.distance * near.distance;
    return !(nearer < all && -nearer < all);
}

/// What contact does to a pair along its normal.
struct Normal {
    Pack force, energy, tangent; ///< weighted [N], [J], [N/m]
    Pack weight;
    lane::PairVectors<Pack> by_weight; ///< force of the weight of edges [N]; unset for others
};

template <SurfacePair::Kind kind>
Normal
press(const lane::PairVectors<Pack>& at, const PairGroup& group, const Pack& depth) noexcept {
    const PenaltyOf<Pack> penalty{.stiffness = load_lanes<Pack>(group.stiffness),
                                  .cap = load_lanes<Pack>(group.layer)};
    Normal normal{.force = penalty.force(depth),
                  .energy = penalty.energy(depth),
                  .tangent = penalty.tangent(depth),
                  .weight = Pack(1.0),
                  .by_weight = {}};
    if constexpr (kind == SurfacePair::Kind::EdgeEdge) {
        const lane::EdgeWeight<Pack> weight = lane::edge_weight(at[1] - at[0], at[3] - at[2]);
        const lane::Vector<Pack> by_u = normal.energy * weight.by_u;
        const lane::Vector<Pack> by_v = normal.energy * weight.by_v;
        normal.by_weight = {by_u, Pack(-1.0) * by_u, by_v, Pack(-1.0) * by_v};
        normal.force *= weight.value;
        normal.energy *= weight.value;
        normal.tangent *= weight.value;
        normal.weight = weight.value;
    }
    return normal;
}

} // namespace

void SurfaceContact::load_part(int p, double dt) {
    parts_[p].report = {};
    parts_[p].failed = no_index;
    const auto n = static_cast<std::int64_t>(pairs_.size());
    const auto first = static_cast<Index>(n * p / n_parts);
    const auto end = static_cast<Index>(n * (p + 1) / n_parts);
    const Index edges = std::clamp(n_vertex_pairs_, first, end);
    for (Index k = first; k < edges; k += awake_chunk)
        load_awake<SurfacePair::Kind::VertexTriangle>(k, std::min(edges, k + awake_chunk), dt, p);
    for (Index k = edges; k < end; k += awake_chunk)
        load_awake<SurfacePair::Kind::EdgeEdge>(k, std::min(end, k + awake_chunk), dt, p);
}

template <SurfacePair::Kind kind>
void SurfaceContact::load_awake(Index first, Index end, double dt, int p) {
    // Without a branch for each: most pairs sleep, and which do not cannot be foretold.
    std::array<Index, awake_chunk> awake;
    Index n_awake = 0;
    for (Index k = first; k < end; ++k) {
        awake[n_awake] = k;
        n_awake += path_ < wakes_[k] ? 0 : 1;
    }
    for (Index i = 0; i < n_awake; i += width) {
        for (Index next = i + width; next < std::min(n_awake, i + 2 * width); ++next) {
            __builtin_prefetch(&pairs_[awake[next]]);
            __builtin_prefetch(&springs_[awake[next]]);
        }
        load_group<kind>(&awake[i], std::min(width, static_cast<int>(n_awake - i)), dt, p);
    }
}

// Comparisons are written so that a distance that is not a number goes on and fails.
template <SurfacePair::Kind kind>
void SurfaceContact::load_group(const Index* pairs, int n_used, double dt, int p) {
    Part& part = parts_[p];
    const PairGroup group(pairs_, pairs, n_used);
    const lane::PairVectors<Pack> at = group.places(points_, last_box_);
    const lane::Nearest<Pack> near = lane::nearest_points<kind>(at);
    const Pack layer = load_lanes<Pack>(group.layer), depth = layer - near.distance;
    const auto [sx, sy, sz, none] = load_quads<Pack>(&springs_.front().x, group.number);
    const lane::Vector<Pack> spring(sx, sy, sz);
    const Mask has_spring = sx != 0.0 || sy != 0.0 || sz != 0.0;
    const Mask idle = depth <= 0.0 && near.distance >= reach_ && !has_spring;
    const unsigned idle_bits = group.bits(idle);
    if (idle_bits != 0U) {
        const Lanes wakes(path_ + (near.distance - larger(layer, Pack(most_reach_))));
        for_bits(idle_bits, [&](int i) { wakes_[group.number[i]] = wakes[i]; });
        if (std::popcount(idle_bits) == n_used)
            return;
    }

    const lane::PairVectors<Pack> velocity = group.places(v_, box_rate_);
    const Mask pressed = depth > 0.0;
    const Normal normal = press<kind>(at, group, select(pressed, depth, Pack(0.0)));
    const Mask failed = !idle && normal.weight >= guarding_weight &&
                        (!(depth <= used_up * layer) || may_have_passed(near, velocity, dt));
    for_bits(group.bits(failed),
             [&](int i) { part.failed = std::min(part.failed, group.number[i]); });
    const unsigned active = group.bits(!idle && near.distance > 0.0 && (pressed || has_spring));
    if (active == 0U)
        return;

    lane::PairVectors<Pack> force;
    const lane::Vector<Pack> push = (normal.force / near.distance) * near.difference;
    for (int i = 0; i < 4; ++i) {
        force[i] = near.share[i] * push;
        if constexpr (kind == SurfacePair::Kind::EdgeEdge)
            force[i] = force[i] + normal.by_weight[i];
    }
    Pack tangent = normal.tangent;
    if (settings_.friction > 0.0) {
        const Pack stiffness = settings_.layer_tangent_share * load_lanes<Pack>(group.stiffness);
        tangent = larger(tangent, stiffness); // the spring may be the stiffer one where w is small
        const lane::PairSlide<Pack> slide(at, near);
        const lane::SpringStep<Pack> next = lane::advance_spring(
            lane::turned_into_plane(spring, slide.normal), Pack(dt) * slide.rate(velocity),
            stiffness, Pack(settings_.friction * normal.force));
        const lane::PairVectors<Pack> drag = slide.forces((-1.0 * stiffness) * next.elongation);
        for (int i = 0; i < 4; ++i)
            force[i] = force[i] + drag[i];
        const Lanes loss(next.dissipation);
        const Lanes stored(0.5 * stiffness * dot(next.elongation, next.elongation));
        const Lanes x(next.elongation.x), y(next.elongation.y), z(next.elongation.z);
        for_bits(active, [&](int i) {
            springs_[group.number[i]] = {.x = x[i], .y = y[i], .z = z[i]};
            part.report.friction_dissipation += loss[i];
            part.report.tangential_energy += stored[i];
        });
    }
    std::array<std::array<VertexLoad, width>, 4> loads;
    for (int i = 0; i < 4; ++i) {
        const Pack share = select(near.share[i] < 0.0, Pack(-near.share[i]), near.share[i]);
        store_quads<Pack>({force[i].x, force[i].y, force[i].z, 2.0 * share * tangent}, width,
                          [&](int lane) { return &loads[i][lane].fx; });
    }
    const unsigned touching = active & group.bits(pressed);
    // pair by pair, so that a sum does not depend on which pairs share a group
    for_bits(touching, [&](int lane) {
        for (int i = 0; i < 4; ++i) {
            const VertexLoad& one = loads[i][lane];
            const Index v = group.vertex[i][lane];
            VertexLoad& sum = part.loads[v];
            sum.fx += one.fx;
            sum.fy += one.fy;
            sum.fz += one.fz;
            sum.tangent += one.tangent;
            loaded_by_[v][p] = 1;
            if (group.has_image) // dU/dbox = -f image
                part.report.box_gradient -=
                    Vec3(one.fx * group.image[i][0][lane], one.fy * group.image[i][1][lane],
                         one.fz * group.image[i][2][lane]);
        }
    });
    const Lanes depths(depth), energy(normal.energy);
    for_bits(touching,
             [&](int i) { note_touch(group.number[i], depths[i], energy[i], part.report); });
}

void SurfaceContact::note_touch(Index k, double depth, double energy, ContactReport& report) const {
    report.normal_energy += energy;
    ++report.n_touching;
    if (depth * per_element_[k] > report.deepest_share) {
        report.deepest_share = depth * per_element_[k];
        report.deepest = keys_[k];
    }
}

} // namespace cellgrade
