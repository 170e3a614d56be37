// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/contact_layer.hpp"

#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"

#include <algorithm>
#include <cmath>

namespace cellgrade {

ContactLayer contact_layer(const ContactSurface& surface,
                           std::span<const double> node_mass,
                           const ContactSettings& settings) {
    const double per_mass =
        settings.omega_squared_room() / (2.0 * layer_crowd * Penalty::slope(Penalty::design_u));
    ContactLayer layer;
    std::size_t n_bound = 0;
    for (std::size_t v = 0; v < surface.nodes.size(); ++v) {
        const double mass = node_mass[surface.nodes[v]];
        CELLGRADE_CHECK(mass > 0.0 && std::isfinite(mass),
                        "contact: mass of node {} is {} kg; it must be finite and > 0",
                        surface.nodes[v], mass);
        const double thickness = settings.layer_share * surface.edge_length[v];
        const double film = settings.film_stiffness(surface.area[v], thickness);
        n_bound += per_mass * mass < film ? 1 : 0;
        layer.vertices.push_back(
            {.thickness = thickness, .stiffness = std::min(film, per_mass * mass), .mass = mass});
        layer.thinnest = v == 0 ? thickness : std::min(layer.thinnest, thickness);
        layer.thickest = std::max(layer.thickest, thickness);
        layer.mean_edge += surface.edge_length[v] / static_cast<double>(surface.nodes.size());
    }
    if (!layer.vertices.empty())
        layer.budget_bound_share =
            static_cast<double>(n_bound) / static_cast<double>(layer.vertices.size());
    return layer;
}

double pair_share(bool of_edges) {
    return of_edges ? 1.0 / 18.0 : 1.0 / 6.0;
}

} // namespace cellgrade
