// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "meshes/catalogue/strut_net.hpp"

namespace cellgrade {

enum class Joints {
    None,      ///< plain beams from node to node
    Stiffened, ///< stiffer, lighter zones where struts lie inside one another
};

/// How struts become beams.
struct BeamOptions {
    /// Target element length [m]. 0: about one strut diameter, yet at least four elements a strut
    /// and none shorter than half a diameter. Four hold the buckled shape of a clamped strut (two
    /// inflections) and the fold of a crushed one; beams shorter than they are thick add no truth
    /// but cost time step, which falls with the element length.
    double element_length = 0.0;
    /// Elements smaller by this factor than the rules above say, the same for all struts; for
    /// refinement studies.
    double refinement = 1.0;
    Joints joints = Joints::Stiffened;
    /// Factor on EA, GA, EI, GJ inside joint zones (>= 1). 3 is nearest to tetrahedra of our own:
    /// four moduli of four cells at relative densities of 0.03, 0.1 and 0.2 differ from theirs by
    /// 10 per cent in the mean and 27 at most; with 2, the area factor of struts that are 40 per
    /// cent thicker near the nodes (Smith, Guan and Cantwell 2013, from memory), by 12 and 45;
    /// without joints by 29 and 87 (solver/README.md). No one factor serves all: where all struts
    /// of a joint push at once, in hydrostatic compression, it is stiffer by far. Larger factors
    /// cost time step.
    double joint_stiffness = 3.0;
};

/// Beams of the struts of a net in a right-angled box.
///
/// An element boundary is placed at the end of a joint zone when the zone is at least three
/// quarters of an element long; otherwise the end element carries the zone's share w of its length,
/// stiffness in series, 1 / (w / k + 1 - w), and mass in proportion.
///
/// Mass: one mass_factor for all elements makes the sum of A L mass_factor equal the volume of the
/// union of the struts. Taking the surplus of the centre lines from the joint zones alone would be
/// nearer to the truth of where it lies, but leaves zones of 0.4 times the mass and twice the
/// stiffness, which cost half of the stable step and change no crush curve: inertia is small
/// against the forces there.
///
/// Nodes are wrapped into the box along periodic axes. `bottom` and `top` stay empty when the net
/// is periodic along z.
[[nodiscard]] BeamMesh subdivide(const StrutNet& net, const BeamOptions& options);

} // namespace cellgrade
