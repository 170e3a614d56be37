// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/platen_contact.hpp"

#include "solver/contact/friction_spring.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace cellgrade {

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
    springs_.assign(nodes_.size() * planes_.size(), Vec3::Zero());
    near_ = reach_;
    report_.resize(planes_.size());
    parts_.resize((stiff_.size() + node_chunk - 1) / node_chunk);
    part_reports_.resize(parts_.size() * planes_.size());
}

void PlatenContact::set_up_nodes(std::span<const Vec3> x,
                                 std::span<const PlatenNode> nodes,
                                 std::span<const double> node_mass) {
    const double per_mass = settings_.omega_squared_room() / Penalty::slope(Penalty::design_u);
    std::size_t n_bound = 0, n_stiff = 0;
    nodes_.resize(x.size());
    reach_.resize(x.size() * planes_.size(), 0.0);
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
        if (nodes[i].stiffness == 0.0)
            continue;
        CELLGRADE_CHECK(node_mass[i] > 0.0 && std::isfinite(node_mass[i]),
                        "platen: mass of node {} is {} kg; it must be finite and > 0", i,
                        node_mass[i]);
        const double physical = nodes[i].stiffness, bound = per_mass * node_mass[i];
        ++n_stiff;
        stiff_.push_back(static_cast<Index>(i));
        n_bound += bound < physical ? 1 : 0;
        nodes_[i] = {.size = nodes[i].size,
                     .cap = nodes[i].cap,
                     .mass = node_mass[i],
                     .stiffness = std::min(physical, bound)};
        for (std::size_t p = 0; p < planes_.size(); ++p) {
            const RigidPlane& plane = planes_[p];
            const double off = plane.normal * (x[i][plane.axis] - plane.position);
            // A face node may lie off its face by rounding, no more.
            CELLGRADE_CHECK(off >= -1e-9 * nodes[i].size,
                            "platen: node {} lies {:.3g} m behind the plane at {} m across axis {}",
                            i, -off, plane.position, plane.axis);
            reach_[i * planes_.size() + p] = std::min(nodes[i].reach, off);
        }
    }
    if (n_stiff > 0)
        budget_bound_share_ = static_cast<double>(n_bound) / static_cast<double>(n_stiff);
}

namespace {

/// Outside of a plane [m].
double off_plane(const RigidPlane& plane, const PlaneMotion& motion, const NodePose& pose) {
    const double at = plane.axis == 0 ? pose.x : plane.axis == 1 ? pose.y : pose.z;
    return plane.normal * (at - motion.position);
}

/// Infinity while a spring holds a node to a plane, else its reach [m].
double held_or(double reach, const Vec3& spring) {
    return spring.isZero(0.0) ? reach : std::numeric_limits<double>::infinity();
}

} // namespace

void PlatenContact::add_loads(std::span<const NodePose> pose,
                              std::span<const NodeRate> rate,
                              std::span<const PlaneMotion> motion,
                              double dt,
                              std::span<NodeLoad> load) {
    CELLGRADE_ASSERT(pose.size() == nodes_.size() && rate.size() == nodes_.size() &&
                     load.size() == nodes_.size() && motion.size() == planes_.size());
    const Index n_stiff = static_cast<Index>(stiff_.size());
    const Index n_parts = static_cast<Index>(parts_.size());
    const std::size_t n_planes = planes_.size();
#pragma omp parallel for schedule(static) if (n_parts > 1)
    for (Index c = 0; c < n_parts; ++c) {
        Part part;
        const std::span<PlaneReport> reports(&part_reports_[c * n_planes], n_planes);
        std::fill(reports.begin(), reports.end(), PlaneReport{});
        for (Index s = c * node_chunk; s < std::min(n_stiff, (c + 1) * node_chunk); ++s) {
            const Index i = stiff_[s];
            if (!std::isfinite(pose[i].x + pose[i].y + pose[i].z))
                part.not_finite = std::min(part.not_finite, i);
            const Move move{pose[i], rate[i], dt};
            double tangent = 0.0;
            for (std::size_t p = 0; p < n_planes; ++p)
                if (off_plane(planes_[p], motion[p], pose[i]) < near_[i * n_planes + p])
                    tangent += load_node(i, p, move, motion[p], load[i], reports[p]);
            if (tangent > 0.0)
                part.omega_squared = std::max(part.omega_squared, tangent / nodes_[i].mass);
        }
        parts_[c] = part;
    }
    join_parts();
}

double PlatenContact::load_node(Index i,
                                std::size_t p,
                                const Move& move,
                                const PlaneMotion& motion,
                                NodeLoad& load,
                                PlaneReport& part) {
    const Node& node = nodes_[i];
    const RigidPlane& plane = planes_[p];
    const std::size_t slot = i * planes_.size() + p;
    const double off = off_plane(plane, motion, move.pose);
    const double depth = reach_[slot] - off;
    Vec3& spring = springs_[slot];
    const Penalty penalty{.stiffness = node.stiffness, .cap = node.cap};
    const double force = depth > 0.0 ? penalty.force(depth) : 0.0;
    Vec3 f = Vec3::Zero();
    f[plane.axis] = plane.normal * force;

    Vec3 arm = Vec3::Zero(); // from the node to the plane
    arm[plane.axis] = -plane.normal * off;
    if (settings_.friction > 0.0) {
        const NodeRate& r = move.rate;
        Vec3 slide = Vec3(r.vx, r.vy, r.vz) + Vec3(r.wx, r.wy, r.wz).cross(arm) - motion.velocity;
        slide[plane.axis] = 0.0;
        const double stiffness = settings_.tangent_share * node.stiffness;
        const SpringStep next =
            advance_spring(spring, move.dt * slide, stiffness, settings_.friction * force);
        spring = next.elongation;
        near_[slot] = held_or(reach_[slot], spring);
        f -= stiffness * spring;
        part.friction_dissipation += next.dissipation;
        part.tangential_energy += 0.5 * stiffness * spring.squaredNorm();
    }
    if (!(depth > 0.0))
        return 0.0;
    const Vec3 moment = arm.cross(f);
    load.fx += f.x();
    load.fy += f.y();
    load.fz += f.z();
    load.mx += moment.x();
    load.my += moment.y();
    load.mz += moment.z();
    part.force -= f;
    part.normal_energy += penalty.energy(depth);
    ++part.n_touching;
    if (depth / node.size > part.deepest_share) {
        part.deepest_share = depth / node.size;
        part.deepest_node = i;
    }
    return penalty.tangent(depth);
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
    state.reserve(3 * springs_.size());
    for (const Vec3& spring : springs_)
        state.insert(state.end(), {spring.x(), spring.y(), spring.z()});
    return state;
}

void PlatenContact::restore(std::span<const double> springs) {
    CELLGRADE_CHECK(springs.size() == 3 * springs_.size(),
                    "platen checkpoint: {} spring components for {} nodes and {} planes",
                    springs.size(), nodes_.size(), planes_.size());
    for (std::size_t k = 0; k < springs_.size(); ++k) {
        springs_[k] = Vec3(springs[3 * k], springs[3 * k + 1], springs[3 * k + 2]);
        near_[k] = held_or(reach_[k], springs_[k]);
    }
}

} // namespace cellgrade
