// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/contact_settings.hpp"
#include "solver/contact/contact_surface.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// The contact layer at one vertex of a surface.
struct VertexLayer {
    double thickness = 0.0; ///< layer_share times the mean edge at the vertex [m]
    double stiffness = 0.0; ///< of the area around it, at first touch [N/m]
    double mass = 0.0;      ///< [kg]
};

struct ContactLayer {
    std::vector<VertexLayer> vertices;
    double thinnest = 0.0, thickest = 0.0; ///< [m]
    double mean_edge = 0.0;                ///< mean over the vertices [m]
    double budget_bound_share = 0.0; ///< vertices whose stiffness the step bound holds down [-]
};

/// Stiffness of the most crowded vertex in flat contact / that of its own area [-].
inline constexpr double layer_crowd = 4.0;

/// Layer, stiffness and mass at each vertex.
///
///   k = min(M A / thickness, room m / (2 crowd dF/dd / k))      crowd = 4, dF/dd at half depth
///
/// The 2 is the row sum of a spring between two masses. A vertex has one outside, so the design
/// case is one flat contact all over at half depth; in it the most crowded vertex carries up to 3.7
/// times the mean (test "flat contact at half depth"), so crowd stands in for design_contacts.
/// Surfaces that lie flat on each other share their area among pairs so that their stiffness per
/// area is about k / A (see pair_share).
/// @param node_mass  one a node of the mesh [kg]
/// Throws an input Error for a mass that is not finite and > 0.
[[nodiscard]] ContactLayer contact_layer(const ContactSurface& surface,
                                         std::span<const double> node_mass,
                                         const ContactSettings& settings);

/// Share of a vertex's stiffness that one pair has [-].
///
/// Over flat facing triangles of equal edges L there are, for each vertex and its area A, one
/// vertex-triangle pair from each side and (2/pi) (3 L / A) 3 L = 6.6 crossings of edges (Buffon's
/// needle, edges in random directions); pairs whose nearest points lie on a border within the layer
/// add about 0.4 of that at half depth (measured by the test of flat sheets). One sixth for the
/// former and one eighteenth for the latter give (2/6 + 6.6/18) 1.4 = 1.0: the pairs together are
/// as stiff as the film of that area. Where the vertices of two like meshes lie on each other there
/// are 12 and 36 pairs, and it is up to 4 times as stiff; stable_omega_squared_bound() counts that
/// in.
[[nodiscard]] double pair_share(bool of_edges);

} // namespace cellgrade
