// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"

#include <vector>

namespace cellgrade::test {

/// A chain of beams through corner points, each leg cut into `per_leg` elements; no faces, no
/// period.
inline BeamMesh beam_chain(const std::vector<Vec3>& corners, int per_leg, double radius) {
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

} // namespace cellgrade::test
