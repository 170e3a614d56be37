// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/beams/beam_mesh.hpp"
#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"

#include <vector>

namespace cellgrade {

/// Rotary inertia of the ends: the true one, or one value about all axes, raised so that no shear,
/// bending or torsion frequency of an element at rest is above its axial one (a scaling of rotary
/// mass only: the translational mass stays true). The same about all axes because a node of a bent
/// beam is turned against the element's mid frame: a small inertia about the centre line would let
/// the raised frequencies up again, by 1.7 at h = 8 r and 0.8 rad an element.
enum class RotaryRule { True, RaisedToAxial };

/// Share of one element in one of its two nodes.
struct EndInertia {
    double mass = 0.0;  ///< rho A h / 2 [kg]
    double axial = 0.0; ///< rotary inertia about the centre line, rho I_polar h / 2 [kg m^2]
    double bend = 0.0;  ///< about the two others, rho I h / 2 [kg m^2]
};

struct LumpedMass {
    std::vector<double> mass;    ///< one a node [kg]
    std::vector<Mat3> inertia;   ///< one a node, in reference axes [kg m^2]
    std::vector<EndInertia> end; ///< one an element, the same at both ends
    double total = 0.0;          ///< sum over nodes [kg]
    double added_rotary = 0.0;   ///< added by the rule / true rotary inertia (traces) [-]
};

/// Half of each element's mass and rotary inertia to each of its nodes, times its mass factor.
///
///   m = rho A h / 2     j_axial = rho pi r^4 h / 4     j_bend = j_axial / 2
///   raised: both the largest of j_axial, m EI / EA, m GJ / EA and h^2 m kGA / (4 (EA - kGA))
///
/// so that 2 EI/(h j), kGA (2/(h m) + h/(2 j)) and 2 GJ/(h j_axial) are at most 2 EA/(h m).
/// `block` is that of the same mesh (lengths and moduli). Throws an input Error for a density or
/// mass factor that is not above zero, or when raising is asked for with kGA >= EA.
[[nodiscard]] LumpedMass
lumped_mass(const BeamMesh& mesh, const BeamBlock& block, double density, RotaryRule rule);

} // namespace cellgrade
