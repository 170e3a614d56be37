// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/striker_contact.hpp"

#include "solver/contact/friction_spring.hpp"
#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace cellgrade {

namespace {

Vec3 point(const NodePose& p) {
    return {p.x, p.y, p.z};
}
Vec3 velocity(const NodeRate& r) {
    return {r.vx, r.vy, r.vz};
}
Vec3 turning(const NodeRate& r) {
    return {r.wx, r.wy, r.wz};
}

void add(NodeLoad& load, const Vec3& force, const Vec3& moment) {
    load.fx += force.x();
    load.fy += force.y();
    load.fz += force.z();
    load.mx += moment.x();
    load.my += moment.y();
    load.mz += moment.z();
}

/// Down, out of the striker, in axes turned about y.
Vec3 down(double turn) {
    return {-std::sin(turn), 0.0, -std::cos(turn)};
}

/// Share of the line from a at which a reach that changes by `rise` over the line lies deepest in a
/// sphere around c.
double deepest_place(const Vec3& a, const Vec3& b, const Vec3& c, double rise) {
    const Vec3 line = b - a;
    const double squared_length = line.squaredNorm();
    if (squared_length == 0.0)
        return 0.0;
    const double length = std::sqrt(squared_length), g = rise / length;
    if (std::abs(g) >= 1.0)
        return g > 0.0 ? 1.0 : 0.0;
    const double foot = line.dot(c - a) / squared_length;
    const double h = (a + foot * line - c).norm();
    return std::clamp(foot + h * g / std::sqrt(1.0 - g * g) / length, 0.0, 1.0);
}

} // namespace

void StrikerSurface::check() const {
    CELLGRADE_CHECK(face == StrikerFace::Flat || (radius > 0.0 && std::isfinite(radius)),
                    "striker: radius is {} m; give a finite value > 0", radius);
    CELLGRADE_CHECK(centre_height >= 0.0 && std::isfinite(centre_height),
                    "striker: centre height is {} m; give a finite value >= 0", centre_height);
}

StrikerContact::StrikerContact(const BeamMesh& mesh,
                               std::span<const double> node_mass,
                               const StrikerSurface& surface,
                               const ContactSettings& settings)
    : StrikerContact(striker_members(mesh, surface.face, node_mass, settings),
                     node_mass,
                     mesh.box,
                     surface,
                     settings) {}

StrikerContact::StrikerContact(const TetMesh& mesh,
                               std::span<const double> node_mass,
                               const StrikerSurface& surface,
                               const ContactSettings& settings)
    : StrikerContact(striker_members(mesh, surface.face, surface.radius, node_mass, settings),
                     node_mass,
                     mesh.box,
                     surface,
                     settings) {}

StrikerContact::StrikerContact(std::vector<StrikerMember> members,
                               std::span<const double> node_mass,
                               const Vec3& box,
                               const StrikerSurface& surface,
                               const ContactSettings& settings)
    : members_(std::move(members)), node_mass_(node_mass.begin(), node_mass.end()), box_(box),
      surface_(surface), settings_(settings), spring_(members_.size(), Vec3::Zero()),
      touches_((members_.size() + chunk - 1) / chunk), node_tangent_(node_mass.size(), 0.0) {
    settings.check();
    surface.check();
    for (const StrikerMember& m : members_)
        CELLGRADE_CHECK(m.stiffness > 0.0 && std::isfinite(m.stiffness),
                        "striker: contact stiffness at node {} is {} N/m; its mass must be finite "
                        "and > 0",
                        m.a, m.stiffness);
}

StrikerContact::Nearest StrikerContact::nearest(const StrikerMember& member,
                                                const Vec3& a,
                                                const Vec3& b,
                                                const StrikerPlace& striker) const {
    Nearest at;
    if (surface_.face == StrikerFace::Flat) { // members are nodes
        at.point = a;
        at.normal = down(striker.turn);
        at.off = at.normal.dot(a - striker.centre) - surface_.centre_height;
        at.depth = member.reach_a - at.off;
        return at;
    }
    at.s = member.a == member.b
               ? 0.0
               : deepest_place(a, b, striker.centre, member.reach_b - member.reach_a);
    at.point = a + at.s * (b - a);
    const Vec3 away = at.point - striker.centre;
    const double distance = away.norm();
    at.normal = distance > 0.0 ? Vec3(away / distance) : down(striker.turn);
    at.off = distance - surface_.radius;
    at.depth = member.reach_a + at.s * (member.reach_b - member.reach_a) - at.off;
    return at;
}

double StrikerContact::lowest(const StrikerPlace& striker) const {
    return surface_.face == StrikerFace::Sphere
               ? striker.centre.z() - surface_.radius
               : striker.centre.z() - surface_.centre_height * std::cos(striker.turn);
}

double StrikerContact::first_touch(std::span<const Vec3> rest, double x, double y) const {
    const auto touches = [&](double z) {
        const StrikerPlace striker{.centre = Vec3(x, y, z)};
        return std::any_of(members_.begin(), members_.end(), [&](const StrikerMember& m) {
            return nearest(m, rest[m.a], rest[m.b], striker).depth > 0.0;
        });
    };
    const double to_lowest =
        surface_.face == StrikerFace::Sphere ? surface_.radius : surface_.centre_height;
    // Nothing reaches above the upper face, so a striker there is free but for rounding.
    double low = to_lowest, high = box_.z() * (1.0 + 1e-9) + to_lowest;
    CELLGRADE_CHECK(touches(low),
                    "the striker passes by: nothing of the specimen lies below it at x = {:.4g} m, "
                    "y = {:.4g} m",
                    x, y);
    for (int halving = 0; halving < 60; ++halving) {
        const double middle = 0.5 * (low + high);
        (touches(middle) ? low : high) = middle;
    }
    return high;
}

StrikerContact::Touch StrikerContact::touch(Index m,
                                            const Nearest& at,
                                            std::span<const NodeRate> rate,
                                            const StrikerPlace& striker,
                                            double dt) {
    const StrikerMember& member = members_[m];
    const Penalty penalty{.stiffness = member.stiffness, .cap = member.cap};
    const double depth = std::max(at.depth, 0.0), force = penalty.force(depth);
    const Vec3 arm = -at.off * at.normal; // from the line to the striker's surface
    Touch t{.member = m,
            .s = at.s,
            .depth = depth,
            .tangent = at.depth > 0.0 ? penalty.tangent(depth) : 0.0,
            .force = force * at.normal,
            .contact = at.point + arm,
            .normal_energy = penalty.energy(depth)};
    if (settings_.friction == 0.0)
        return t;
    const NodeRate &a = rate[member.a], &b = rate[member.b];
    const Vec3 of_member = (1.0 - at.s) * velocity(a) + at.s * velocity(b) +
                           Vec3((1.0 - at.s) * turning(a) + at.s * turning(b)).cross(arm);
    const Vec3 of_striker =
        striker.velocity + Vec3(0.0, striker.spin, 0.0).cross(t.contact - striker.centre);
    const Vec3 relative = of_member - of_striker;
    const Vec3 slide = dt * (relative - at.normal.dot(relative) * at.normal);
    const double stiffness = settings_.tangent_share * member.stiffness;
    const SpringStep next = advance_spring(turned_into_plane(spring_[m], at.normal), slide,
                                           stiffness, settings_.friction * force);
    spring_[m] = next.elongation;
    t.force -= stiffness * next.elongation;
    t.moment = arm.cross(t.force);
    t.tangential_energy = 0.5 * stiffness * next.elongation.squaredNorm();
    t.dissipation = next.dissipation;
    return t;
}

void StrikerContact::add_loads(std::span<const NodePose> pose,
                               std::span<const NodeRate> rate,
                               const StrikerPlace& striker,
                               double dt,
                               std::span<NodeLoad> load) {
    const auto n = static_cast<Index>(members_.size());
    const auto n_chunks = static_cast<Index>(touches_.size());
#pragma omp parallel for schedule(static) if (n_chunks > 4)
    for (Index c = 0; c < n_chunks; ++c) {
        touches_[c].clear();
        for (Index m = c * chunk; m < std::min(n, (c + 1) * chunk); ++m) {
            const StrikerMember& member = members_[m];
            const Nearest at =
                nearest(member, point(pose[member.a]), point(pose[member.b]), striker);
            if (at.depth <= 0.0 && spring_[m].isZero(0.0))
                continue;
            touches_[c].push_back(touch(m, at, rate, striker, dt));
        }
    }
    report_ = {};
    for (const std::vector<Touch>& part : touches_)
        for (const Touch& t : part)
            add_touch(t, striker, load);
    close_nodes();
}

void StrikerContact::add_touch(const Touch& t,
                               const StrikerPlace& striker,
                               std::span<NodeLoad> load) {
    const StrikerMember& member = members_[t.member];
    const Vec3 lever = t.contact - striker.centre;
    add(load[member.a], (1.0 - t.s) * t.force, (1.0 - t.s) * t.moment);
    add(load[member.b], t.s * t.force, t.s * t.moment);
    node_tangent_[member.a] += (1.0 - t.s) * t.tangent;
    node_tangent_[member.b] += t.s * t.tangent;
    report_.force -= t.force;
    report_.torque -= lever.cross(t.force).y();
    report_.normal_energy += t.normal_energy;
    report_.tangential_energy += t.tangential_energy;
    report_.friction_dissipation += t.dissipation;
    report_.deepest_share = std::max(report_.deepest_share, t.depth / member.size);
    report_.tangent += t.tangent;
    report_.tangent_lever_squared += t.tangent * lever.squaredNorm();
    report_.n_touching += t.depth > 0.0 ? 1 : 0;
}

/// Takes the bound from the nodes that were loaded and leaves them at 0.
void StrikerContact::close_nodes() {
    node_omega_squared_ = 0.0;
    for (const std::vector<Touch>& part : touches_)
        for (const Touch& t : part)
            for (const Index node : {members_[t.member].a, members_[t.member].b}) {
                node_omega_squared_ =
                    std::max(node_omega_squared_, node_tangent_[node] / node_mass_[node]);
                node_tangent_[node] = 0.0;
            }
}

} // namespace cellgrade
