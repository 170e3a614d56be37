// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/tets/tet_mesh.hpp"
#include "solver/contact/contact_settings.hpp"

#include <span>
#include <vector>

namespace cellgrade {

enum class StrikerFace {
    Flat,   ///< a plane, larger than the specimen
    Sphere, ///< a ball
};

/// What a rigid striker can touch: a node (a = b), or the strut between two nodes. Around its line
/// from a to b it reaches as far as `reach`, straight between the ends.
struct StrikerMember {
    Index a = no_index, b = no_index;
    double reach_a = 0.0, reach_b = 0.0; ///< distance of first touch [m]
    double cap = 0.0;                    ///< depth that contact stiffens towards [m]
    double size = 0.0;      ///< length that depths are told in: radius, element edge [m]
    double stiffness = 0.0; ///< at first touch, step bound applied [N/m]
};

/// Members of a net: its nodes for a flat face, its elements for a sphere. A net must not be
/// periodic for a sphere, which would strike it endlessly many times.
///
///   reach = min(radius, height of the specimen - z), so that the specimen ends at its upper face,
///           as for platens
///   k     = min(pi E r, step bound of its lighter end, shared among the members there)
///
/// @param node_mass  one a node [kg]. Throws an input Error for a periodic net under a sphere.
[[nodiscard]] std::vector<StrikerMember> striker_members(const BeamMesh& mesh,
                                                         StrikerFace face,
                                                         std::span<const double> node_mass,
                                                         const ContactSettings& settings);

/// Members of a solid: the nodes of its surface, as for platens. A sphere must be so large that it
/// is flat between two of them.
/// Throws an input Error for a periodic solid under a sphere, and a radius below
/// `least_radius_edges` surface edges.
[[nodiscard]] std::vector<StrikerMember> striker_members(const TetMesh& mesh,
                                                         StrikerFace face,
                                                         double radius,
                                                         std::span<const double> node_mass,
                                                         const ContactSettings& settings);

/// Between two nodes an edge apart a sphere bulges by edge^2 / (8 R): with four edges to the radius
/// by a 32nd of the edge, a fifth of the contact layer.
inline constexpr double least_radius_edges = 4.0;

} // namespace cellgrade
