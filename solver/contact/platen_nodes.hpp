// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/tets/tet_mesh.hpp"
#include "solver/contact/contact_settings.hpp"

#include <vector>

namespace cellgrade {

/// What a node is to a plane; nodes without stiffness never touch.
struct PlatenNode {
    double reach = 0.0;     ///< distance of first touch [m]; the distance at the start if less
    double cap = 0.0;       ///< depth that contact stiffens towards [m]
    double size = 0.0;      ///< length that depths are told in: radius, element edge [m]
    double stiffness = 0.0; ///< at first touch, before the step bound [N/m]
};

/// What the nodes of a net are to platens: reach and size are the radius of the thickest strut, the
/// cap is cap_share of it, the stiffness pi E r.
///
/// Nodes stand for the struts between them: they lie about a strut diameter apart, and a strut
/// lying flat between two nodes bulges through the plane only by its bending over that length, far
/// less than the cap. Throws an input Error for a node without a strut.
[[nodiscard]] std::vector<PlatenNode> platen_nodes(const BeamMesh& mesh,
                                                   const ContactSettings& settings);

/// What the nodes of a solid are to platens: those on the surface touch within the contact layer,
/// which is the cap too, with the stiffness of the film of their area (contact_layer.hpp); the size
/// is the element edge. Inner nodes and periodic copies have no stiffness; the area of a copy is
/// with its original.
[[nodiscard]] std::vector<PlatenNode> platen_nodes(const TetMesh& mesh,
                                                   const ContactSettings& settings);

} // namespace cellgrade
