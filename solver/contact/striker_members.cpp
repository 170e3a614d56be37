// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/striker_members.hpp"

#include "solver/contact/penalty.hpp"
#include "solver/contact/platen_nodes.hpp"
#include "solver/core/error.hpp"

#include <algorithm>

namespace cellgrade {

namespace {

/// Stiffness that a node of a mass may feel in the design case [N/m per kg].
double stiffness_per_mass(const ContactSettings& settings) {
    return settings.omega_squared_room() / Penalty::slope(Penalty::design_u);
}

std::vector<StrikerMember> members_of(std::span<const PlatenNode> nodes,
                                      std::span<const Vec3> x,
                                      double height,
                                      std::span<const double> node_mass,
                                      const ContactSettings& settings) {
    const double per_mass = stiffness_per_mass(settings);
    std::vector<StrikerMember> members;
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const PlatenNode& node = nodes[i];
        if (node.stiffness == 0.0)
            continue;
        const double reach = std::min(node.reach, std::max(0.0, height - x[i].z()));
        members.push_back({.a = static_cast<Index>(i),
                           .b = static_cast<Index>(i),
                           .reach_a = reach,
                           .reach_b = reach,
                           .cap = node.cap,
                           .size = node.size,
                           .stiffness = std::min(node.stiffness, per_mass * node_mass[i])});
    }
    return members;
}

void check_sides(const std::array<bool, 3>& periodic, StrikerFace face) {
    CELLGRADE_CHECK(face == StrikerFace::Flat || (!periodic[0] && !periodic[1] && !periodic[2]),
                    "a sphere cannot strike a periodic specimen, which would be struck in every "
                    "period; its sides must be free or confined");
}

} // namespace

std::vector<StrikerMember> striker_members(const BeamMesh& mesh,
                                           StrikerFace face,
                                           std::span<const double> node_mass,
                                           const ContactSettings& settings) {
    check_sides(mesh.periodic, face);
    const double height = mesh.box.z();
    if (face == StrikerFace::Flat)
        return members_of(platen_nodes(mesh, settings), mesh.nodes, height, node_mass, settings);
    std::vector<double> n_at(mesh.nodes.size(), 0.0);
    for (const BeamElement& beam : mesh.elements)
        for (const Index node : {beam.a, beam.b})
            n_at[node] += 1.0;
    const double per_mass = stiffness_per_mass(settings);
    std::vector<StrikerMember> members;
    members.reserve(mesh.elements.size());
    for (const BeamElement& beam : mesh.elements) {
        const auto reach = [&](Index node) {
            return std::min(beam.radius, std::max(0.0, height - mesh.nodes[node].z()));
        };
        const double light =
            std::min(node_mass[beam.a] / n_at[beam.a], node_mass[beam.b] / n_at[beam.b]);
        members.push_back(
            {.a = beam.a,
             .b = beam.b,
             .reach_a = reach(beam.a),
             .reach_b = reach(beam.b),
             .cap = settings.cap_share * beam.radius,
             .size = beam.radius,
             .stiffness = std::min(settings.platen_stiffness(beam.radius), per_mass * light)});
    }
    return members;
}

std::vector<StrikerMember> striker_members(const TetMesh& mesh,
                                           StrikerFace face,
                                           double radius,
                                           std::span<const double> node_mass,
                                           const ContactSettings& settings) {
    check_sides(mesh.periodic, face);
    std::vector<StrikerMember> members =
        members_of(platen_nodes(mesh, settings), mesh.nodes, mesh.box.z(), node_mass, settings);
    if (face == StrikerFace::Flat)
        return members;
    double edge = 0.0;
    for (const StrikerMember& m : members)
        edge = std::max(edge, 0.5 * m.size); // the size is two edges of the surface triangles
    CELLGRADE_CHECK(radius >= least_radius_edges * edge,
                    "a striker of radius {:.3g} m is not flat between surface nodes {:.3g} m "
                    "apart; at least {:.3g} m, or smaller elements, are needed",
                    radius, edge, least_radius_edges * edge);
    return members;
}

} // namespace cellgrade
