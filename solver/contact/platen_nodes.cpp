// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/platen_nodes.hpp"

#include "solver/contact/contact_surface.hpp"
#include "solver/core/error.hpp"

#include <algorithm>

namespace cellgrade {

std::vector<PlatenNode> platen_nodes(const BeamMesh& mesh, const ContactSettings& settings) {
    std::vector<PlatenNode> nodes(mesh.nodes.size());
    for (const BeamElement& beam : mesh.elements)
        for (const Index node : {beam.a, beam.b})
            nodes[node].size = std::max(nodes[node].size, beam.radius);
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        PlatenNode& node = nodes[i];
        CELLGRADE_CHECK(node.size > 0.0, "platen: node {} belongs to no strut", i);
        node.reach = node.size;
        node.cap = settings.cap_share * node.size;
        node.stiffness = settings.platen_stiffness(node.size);
    }
    return nodes;
}

std::vector<PlatenNode> platen_nodes(const TetMesh& mesh, const ContactSettings& settings) {
    const ContactSurface surface = contact_surface(mesh);
    std::vector<PlatenNode> nodes(mesh.nodes.size());
    for (std::size_t v = 0; v < surface.nodes.size(); ++v) {
        const double layer = settings.layer_share * surface.edge_length[v];
        nodes[surface.nodes[v]] = {.reach = layer,
                                   .cap = layer,
                                   .size = 2.0 * surface.edge_length[v],
                                   .stiffness = settings.film_stiffness(surface.area[v], layer)};
    }
    return nodes;
}

} // namespace cellgrade
