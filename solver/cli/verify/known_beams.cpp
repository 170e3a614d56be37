// SPDX-License-Identifier: Apache-2.0
#include "solver/cli/verify/known_beams.hpp"

#include "solver/core/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cellgrade::known_beams {

BeamMesh chain(const std::vector<Vec3>& corners, int per_leg, double radius) {
    BeamMesh mesh;
    mesh.nodes.push_back(corners.front());
    for (std::size_t leg = 0; leg + 1 < corners.size(); ++leg)
        for (int k = 1; k <= per_leg; ++k) {
            const double s = static_cast<double>(k) / per_leg;
            mesh.nodes.push_back((1.0 - s) * corners[leg] + s * corners[leg + 1]);
            const Index b = static_cast<Index>(mesh.nodes.size()) - 1;
            mesh.elements.push_back(
                {.a = b - 1, .b = b, .radius = radius, .strut = static_cast<Index>(leg)});
        }
    mesh.is_joint.assign(mesh.nodes.size(), false);
    return mesh;
}

BeamBody
round_body(const BeamMesh& mesh, const SectionModuli& moduli, double density, RotaryRule rule) {
    BeamBlock block = make_beam_block(mesh, moduli);
    LumpedMass mass = lumped_mass(mesh, block, density, rule);
    return {mesh, std::move(block), std::move(mass)};
}

BeamBody section_body(const BeamMesh& mesh, const Section& s, RotaryRule rule) {
    BeamBlock block =
        make_beam_block(mesh, {.youngs = 1.0, .shear = 1.0, .shear_factor = 1.0}); // overwritten
    LumpedMass mass;
    mass.mass.assign(mesh.nodes.size(), 0.0);
    mass.inertia.assign(mesh.nodes.size(), Mat3::Zero());
    for (std::size_t e = 0; e < mesh.elements.size(); ++e) {
        BeamGroup& group = block.groups[e / group_lanes];
        const std::size_t lane = e % group_lanes;
        group.EA[lane] = s.EA;
        group.kGA[lane] = s.kGA;
        group.GJ[lane] = s.GJ;
        group.EI[lane] = s.EI;
        const double h = group.h[lane];
        EndInertia end{
            .mass = 0.5 * s.mass * h, .axial = 0.5 * s.polar * h, .bend = 0.5 * s.bend * h};
        if (rule == RotaryRule::RaisedToAxial) {
            end.bend = std::max({end.bend, end.mass * s.EI / s.EA,
                                 0.25 * end.mass * h * h * s.kGA / (s.EA - s.kGA)});
            end.axial = std::max(end.axial, end.mass * s.GJ / s.EA);
        }
        mass.end.push_back(end);
        const BeamElement& element = mesh.elements[e];
        const Vec3 e1 = (mesh.nodes[element.b] - mesh.nodes[element.a]) / h;
        for (const Index node : {element.a, element.b}) {
            mass.mass[node] += end.mass;
            mass.inertia[node] +=
                end.bend * Mat3::Identity() + (end.axial - end.bend) * e1 * e1.transpose();
            mass.total += end.mass;
        }
    }
    return {mesh, std::move(block), std::move(mass)};
}

void hold_in_plane(BodyDynamics& dynamics, const BeamMesh& mesh, int axis) {
    std::vector<Index> all(mesh.nodes.size());
    for (std::size_t i = 0; i < all.size(); ++i)
        all[i] = static_cast<Index>(i);
    const unsigned out = (1U << axis) | (fix_rotations & ~(8U << axis));
    dynamics.add_group({.nodes = std::move(all), .freedoms = out});
}

Stages::Leg Stages::leg(double time) const {
    const int k = std::clamp(static_cast<int>(time / (move_ + pause_)), 0, size() - 1);
    const double s = (time - k * (move_ + pause_)) / move_;
    return {.from = k == 0 ? 0.0 : levels_[k - 1], .to = levels_[k], .s = std::clamp(s, 0.0, 1.0)};
}

double Stages::level(double time) const {
    const auto [from, to, s] = leg(time);
    return from + (to - from) * s * s * s * (10.0 + s * (-15.0 + 6.0 * s));
}

double Stages::rate(double time) const {
    const auto [from, to, s] = leg(time);
    return (to - from) * 30.0 * s * s * (1.0 - s) * (1.0 - s) / move_;
}

EnergyLedger energies(BodyDynamics& dynamics) {
    dynamics.want_energies();
    dynamics.step();
    dynamics.step();
    return dynamics.ledger();
}

void settle(BodyDynamics& dynamics, double time) {
    while (dynamics.time() + 3.0 * dynamics.stable_step() < time)
        dynamics.step();
    const EnergyLedger now = energies(dynamics);
    if (!(now.kinetic <= 1e-8 * now.stored))
        throw run_error("the chain is not at rest at t = {:.4g} s: kinetic energy is {:.2e} of the "
                        "stored energy",
                        time, now.kinetic / now.stored);
}

Vec3 position(const BodyDynamics& dynamics, Index node) {
    const NodePose& p = dynamics.motion().poses()[node];
    return {p.x, p.y, p.z};
}

double turn_about(const BodyDynamics& dynamics, Index node, int axis) {
    const NodePose& p = dynamics.motion().poses()[node];
    const double half = std::atan2(axis == 0 ? p.qx : axis == 1 ? p.qy : p.qz, p.qw);
    return std::remainder(2.0 * half, 2.0 * std::numbers::pi);
}

void add(Rows& rows,
         std::string id,
         std::string quantity,
         std::string unit,
         const Check& check,
         const std::string& source) {
    rows.push_back(verification_row_scaled({.id = std::move(id),
                                            .quantity = std::move(quantity),
                                            .unit = std::move(unit),
                                            .reference = check.reference,
                                            .computed = check.computed,
                                            .tolerance = check.tolerance,
                                            .source = source},
                                           check.scale > 0.0 ? check.scale : check.reference));
}

void add_order(Rows& rows,
               const std::string& id,
               const std::string& quantity,
               const std::vector<double>& errors,
               double band) {
    for (std::size_t i = 0; i + 1 < errors.size(); ++i)
        add(rows, fmt::format("{}-order-{}", id, i + 1),
            fmt::format("order of convergence of {}, halving {}", quantity, i + 1), "1",
            {.reference = 2.0,
             .computed = std::log2(errors[i] / errors[i + 1]),
             .tolerance = band,
             .scale = 1.0},
            "one integration point a two-node element: error of order h^2");
}

} // namespace cellgrade::known_beams
