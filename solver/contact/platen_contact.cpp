// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/platen_contact.hpp"

#include "solver/contact/friction_kernel.hpp"
#include "solver/contact/lane_bits.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <utility>

namespace cellgrade {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

} // namespace

RigidPlane lower_platen() {
    return {.axis = 2, .normal = 1, .position = 0.0};
}

RigidPlane upper_platen(const Vec3& box) {
    return {.axis = 2, .normal = -1, .position = box.z()};
}

std::vector<RigidPlane>
side_walls(const Vec3& box, const std::array<bool, 3>& periodic, std::array<bool, 2> confined) {
    std::vector<RigidPlane> walls;
    for (const int axis : {0, 1}) {
        if (!confined[axis] || periodic[axis])
            continue;
        walls.push_back({.axis = axis, .normal = 1, .position = 0.0});
        walls.push_back({.axis = axis, .normal = -1, .position = box[axis]});
    }
    return walls;
}

PlatenContact::PlatenContact(std::span<const Vec3> x,
                             std::span<const PlatenNode> nodes,
                             std::span<const double> node_mass,
                             std::vector<RigidPlane> planes,
                             const ContactSettings& settings)
    : settings_(settings), planes_(std::move(planes)) {
    settings.check();
    CELLGRADE_CHECK(node_mass.size() == x.size() && nodes.size() == x.size(),
                    "platen: {} node masses and {} contact nodes for {} nodes; give one a node",
                    node_mass.size(), nodes.size(), x.size());
    for (const RigidPlane& plane : planes_)
        CELLGRADE_CHECK(
            plane.axis >= 0 && plane.axis < 3 && std::abs(plane.normal) == 1 &&
                std::isfinite(plane.position),
            "platen: plane with axis {}, normal {}, position {} m; give an axis 0, 1 or "
            "2, a normal +1 or -1 and a finite position",
            plane.axis, plane.normal, plane.position);
    set_up_nodes(x, nodes, node_mass);
    report_.resize(planes_.size());
    const auto n_groups = static_cast<Index>(groups_.size());
    parts_.resize((n_groups + chunk_groups - 1) / chunk_groups);
    part_reports_.resize(parts_.size() * planes_.size());
}

void PlatenContact::set_up_nodes(std::span<const Vec3> x,
                                 std::span<const PlatenNode> nodes,
                                 std::span<const double> node_mass) {
    const double per_mass = settings_.omega_squared_room() / Penalty::slope(Penalty::design_u);
    std::size_t n_bound = 0;
    n_nodes_ = x.size();
    for (std::size_t i = 0; i < x.size(); ++i) {
        if (nodes[i].stiffness == 0.0)
            continue;
        CELLGRADE_CHECK(node_mass[i] > 0.0 && std::isfinite(node_mass[i]),
                        "platen: mass of node {} is {} kg; it must be finite and > 0", i,
                        node_mass[i]);
        const double physical = nodes[i].stiffness, bound = per_mass * node_mass[i];
        n_bound += bound < physical ? 1 : 0;
        add_lane(x[i], nodes[i], node_mass[i], std::min(physical, bound), static_cast<Index>(i));
    }
    if (n_stiff_ > 0)
        budget_bound_share_ = static_cast<double>(n_bound) / static_cast<double>(n_stiff_);
}

void PlatenContact::add_lane(
    const Vec3& x, const PlatenNode& node, double mass, double stiffness, Index i) {
    const int first = n_stiff_ % group_lanes;
    if (first == 0) {
        groups_.emplace_back();
        at_plane_.resize(at_plane_.size() + planes_.size());
    }
    NodeGroup& group = groups_.back();
    GroupAtPlane* const at = at_plane_.data() + (groups_.size() - 1) * planes_.size();
    for (int lane = first; lane < group_lanes; ++lane) { // those behind are written over, or unused
        group.size[lane] = node.size;
        group.cap[lane] = node.cap;
        group.mass[lane] = mass;
        group.stiffness[lane] = stiffness;
        group.number[lane] = 2 * i;
        for (std::size_t p = 0; p < planes_.size(); ++p) {
            const RigidPlane& plane = planes_[p];
            const double off = plane.normal * (x[plane.axis] - plane.position);
            // A face node may lie off its face by rounding, no more.
            CELLGRADE_CHECK(off >= -1e-9 * node.size,
                            "platen: node {} lies {:.3g} m behind the plane at {} m across axis {}",
                            i, -off, plane.position, plane.axis);
            at[p].reach[lane] = std::min(node.reach, off);
            at[p].near[lane] = lane == first ? at[p].reach[lane] : -infinity;
            for (Lanes& spring : at[p].spring)
                spring[lane] = 0.0;
        }
    }
    ++n_stiff_;
}

void PlatenContact::add_loads(std::span<const NodePose> pose,
                              std::span<const NodeRate> rate,
                              std::span<const PlaneMotion> motion,
                              double dt,
                              std::span<NodeLoad> load) {
    CELLGRADE_ASSERT(pose.size() == n_nodes_ && rate.size() == n_nodes_ &&
                     load.size() == n_nodes_ && motion.size() == planes_.size());
    const auto n_groups = static_cast<Index>(groups_.size());
    const auto n_parts = static_cast<Index>(parts_.size());
    const std::size_t n_planes = planes_.size();
    const Step step{pose.data(), rate.data(), dt, load.data()};
#pragma omp parallel for schedule(static) if (n_parts > 1)
    for (Index c = 0; c < n_parts; ++c) {
        Part part;
        const std::span<PlaneReport> reports(&part_reports_[c * n_planes], n_planes);
        std::fill(reports.begin(), reports.end(), PlaneReport{});
        for (Index g = c * chunk_groups; g < std::min(n_groups, (c + 1) * chunk_groups); ++g)
            load_group(g, step, motion, part, reports);
        parts_[c] = part;
    }
    join_parts();
}

namespace {

using Mask = Pack::mask_type;
constexpr int width = lanes_of<Pack>;

double sum_of(const Pack& x, unsigned bits) {
    alignas(64) std::array<double, width> value;
    store_lanes(x, value.data());
    double sum = 0.0;
    for_bits(bits, [&](int i) { sum += value[i]; });
    return sum;
}

CELLGRADE_INLINE lane::Vector<Pack> along(int axis, const Pack& x) noexcept {
    return {axis == 0 ? x : Pack(0.0), axis == 1 ? x : Pack(0.0), axis == 2 ? x : Pack(0.0)};
}

CELLGRADE_INLINE Pack component(const lane::Vector<Pack>& a, int axis) noexcept {
    return axis == 0 ? a.x : axis == 1 ? a.y : a.z;
}

CELLGRADE_INLINE lane::Vector<Pack> spread(const Vec3& a) noexcept {
    return {Pack(a.x()), Pack(a.y()), Pack(a.z())};
}

/// Velocity at the point of a node that lies at the plane, `arm` away from it, in the plane.
CELLGRADE_INLINE lane::Vector<Pack> slide_of(const NodeRate* rate,
                                             const std::int32_t* number,
                                             const lane::Vector<Pack>& arm,
                                             const Vec3& plane_velocity,
                                             int axis) noexcept {
    const auto [vx, vy, vz, wx] = load_quads<Pack>(&rate->vx, number);
    const auto [wy, wz, none, nothing] = load_quads<Pack>(&rate->vx + 4, number);
    const lane::Vector<Pack> v = lane::Vector<Pack>(vx, vy, vz) +
                                 cross(lane::Vector<Pack>(wx, wy, wz), arm) -
                                 spread(plane_velocity);
    return v - along(axis, component(v, axis));
}

/// Adds forces and moments of some lanes to their nodes.
void add_to_nodes(const lane::Vector<Pack>& f,
                  const lane::Vector<Pack>& m,
                  const std::int32_t* number,
                  unsigned bits,
                  NodeLoad* load) {
    alignas(64) std::array<std::array<double, width>, 6> value;
    store_lanes(f.x, value[0].data());
    store_lanes(f.y, value[1].data());
    store_lanes(f.z, value[2].data());
    store_lanes(m.x, value[3].data());
    store_lanes(m.y, value[4].data());
    store_lanes(m.z, value[5].data());
    for_bits(bits, [&](int i) {
        NodeLoad& at = load[number[i] / 2];
        at.fx += value[0][i];
        at.fy += value[1][i];
        at.fz += value[2][i];
        at.mx += value[3][i];
        at.my += value[4][i];
        at.mz += value[5][i];
    });
}

} // namespace

void PlatenContact::load_group(Index g,
                               const Step& step,
                               std::span<const PlaneMotion> motion,
                               Part& part,
                               std::span<PlaneReport> reports) {
    const NodeGroup& group = groups_[g];
    const Index n_used = std::min<Index>(group_lanes, n_stiff_ - g * group_lanes);
    for (int first = 0; first < n_used; first += width) {
        const std::int32_t* const number = &group.number[first];
        const std::array<Pack, 4> pose = load_quads<Pack>(&step.pose->x, number);
        const Pack all = pose[0] + pose[1] + pose[2];
        if (const unsigned bits = lane_bits(!(all - all == 0.0)); bits != 0U)
            part.not_finite = std::min(part.not_finite, number[std::countr_zero(bits)] / 2);
        Pack tangent(0.0);
        for (std::size_t p = 0; p < planes_.size(); ++p) {
            const double normal = planes_[p].normal;
            const Pack off = normal * (pose[planes_[p].axis] - motion[p].position);
            const Pack near = load_lanes<Pack>(&at_plane_[g * planes_.size() + p].near[first]);
            if (const unsigned close = lane_bits(off < near); close != 0U)
                tangent += load_at_plane({g, first, p, close}, off, step, motion[p], reports[p]);
        }
        const Pack squared = tangent / load_lanes<Pack>(&group.mass[first]);
        for_bits(lane_bits(squared > part.omega_squared), [&](int i) {
            part.omega_squared = std::max(part.omega_squared, double(squared[i]));
        });
    }
}

Pack PlatenContact::load_at_plane(const Place& place,
                                  const Pack& off,
                                  const Step& step,
                                  const PlaneMotion& motion,
                                  PlaneReport& report) {
    const NodeGroup& group = groups_[place.group];
    GroupAtPlane& at = at_plane_[place.group * planes_.size() + place.plane];
    const RigidPlane& plane = planes_[place.plane];
    const int first = place.first_lane;
    const std::int32_t* const number = &group.number[first];
    const Pack reach = load_lanes<Pack>(&at.reach[first]), depth = reach - off;
    const Mask pressed = depth > 0.0;
    const Pack pressed_depth = select(pressed, depth, Pack(0.0));
    const PenaltyOf<Pack> penalty{.stiffness = load_lanes<Pack>(&group.stiffness[first]),
                                  .cap = load_lanes<Pack>(&group.cap[first])};
    const Pack force = penalty.force(pressed_depth);
    const double normal = plane.normal;
    lane::Vector<Pack> f = along(plane.axis, normal * force);
    const lane::Vector<Pack> arm = along(plane.axis, -normal * off); // from the node to the plane
    if (settings_.friction > 0.0) {
        const Pack stiffness = settings_.tangent_share * penalty.stiffness;
        const lane::Vector<Pack> old(load_lanes<Pack>(&at.spring[0][first]),
                                     load_lanes<Pack>(&at.spring[1][first]),
                                     load_lanes<Pack>(&at.spring[2][first]));
        const lane::Vector<Pack> slide =
            slide_of(step.rate, number, arm, motion.velocity, plane.axis);
        const lane::SpringStep<Pack> next = lane::advance_spring(
            old, Pack(step.dt) * slide, stiffness, Pack(settings_.friction * force));
        const lane::Vector<Pack>& spring = next.elongation;
        store_lanes(spring.x, &at.spring[0][first]);
        store_lanes(spring.y, &at.spring[1][first]);
        store_lanes(spring.z, &at.spring[2][first]);
        const Mask holds = spring.x != 0.0 || spring.y != 0.0 || spring.z != 0.0;
        const Mask unused = load_lanes<Pack>(&at.near[first]) == -infinity;
        const Pack near = select(holds, Pack(infinity), reach);
        store_lanes(select(unused, Pack(-infinity), near), &at.near[first]);
        f = f - stiffness * spring;
        report.friction_dissipation += sum_of(next.dissipation, place.lanes);
        report.tangential_energy += sum_of(0.5 * stiffness * dot(spring, spring), place.lanes);
    }
    const unsigned touching = place.lanes & lane_bits(pressed);
    if (touching == 0U)
        return Pack(0.0);
    add_to_nodes(f, cross(arm, f), number, touching, step.load);
    report.force -= Vec3(sum_of(f.x, touching), sum_of(f.y, touching), sum_of(f.z, touching));
    report.normal_energy += sum_of(penalty.energy(pressed_depth), touching);
    report.n_touching += std::popcount(touching);
    const Pack share = depth / load_lanes<Pack>(&group.size[first]);
    for_bits(touching & lane_bits(share > report.deepest_share), [&](int i) {
        if (share[i] > report.deepest_share) {
            report.deepest_share = share[i];
            report.deepest_node = number[i] / 2;
        }
    });
    return select(pressed, penalty.tangent(pressed_depth), Pack(0.0));
}

void PlatenContact::join_parts() {
    std::fill(report_.begin(), report_.end(), PlaneReport{});
    omega_squared_ = 0.0;
    Index not_finite = no_index;
    for (std::size_t c = 0; c < parts_.size(); ++c) {
        omega_squared_ = std::max(omega_squared_, parts_[c].omega_squared);
        not_finite = std::min(not_finite, parts_[c].not_finite);
        for (std::size_t p = 0; p < planes_.size(); ++p) {
            const PlaneReport& part = part_reports_[c * planes_.size() + p];
            PlaneReport& sum = report_[p];
            sum.force += part.force;
            sum.normal_energy += part.normal_energy;
            sum.tangential_energy += part.tangential_energy;
            sum.friction_dissipation += part.friction_dissipation;
            sum.n_touching += part.n_touching;
            if (part.deepest_share > sum.deepest_share) {
                sum.deepest_share = part.deepest_share;
                sum.deepest_node = part.deepest_node;
            }
        }
    }
    if (not_finite != no_index)
        throw run_error("platen: the position of node {} is not finite", not_finite);
}

std::vector<double> PlatenContact::save() const {
    std::vector<double> state;
    state.reserve(static_cast<std::size_t>(3 * n_stiff_) * planes_.size());
    for (Index s = 0; s < n_stiff_; ++s)
        for (std::size_t p = 0; p < planes_.size(); ++p)
            for (const Lanes& spring : at_plane_[s / group_lanes * planes_.size() + p].spring)
                state.push_back(spring[s % group_lanes]);
    return state;
}

void PlatenContact::restore(std::span<const double> springs) {
    const std::size_t n = static_cast<std::size_t>(3 * n_stiff_) * planes_.size();
    CELLGRADE_CHECK(springs.size() == n,
                    "platen checkpoint: {} spring components for {} nodes and {} planes",
                    springs.size(), n_stiff_, planes_.size());
    std::size_t k = 0;
    for (Index s = 0; s < n_stiff_; ++s)
        for (std::size_t p = 0; p < planes_.size(); ++p) {
            GroupAtPlane& at = at_plane_[s / group_lanes * planes_.size() + p];
            const int lane = s % group_lanes;
            bool holds = false;
            for (Lanes& spring : at.spring) {
                spring[lane] = springs[k++];
                holds = holds || spring[lane] != 0.0;
            }
            at.near[lane] = holds ? infinity : at.reach[lane];
        }
}

} // namespace cellgrade
