// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// Lumped inertia of one node in reference axes, with its inverses.
struct NodeInertia {
    double mass = 0.0;                  ///< [kg]
    double inverse_mass = 0.0;          ///< [1/kg]
    Mat3 rotary = Mat3::Zero();         ///< rotary inertia J, body axes [kg m^2]
    Mat3 inverse_rotary = Mat3::Zero(); ///< J^-1 [1/(kg m^2)]
    bool spherical = false;             ///< J = j I: no gyroscopic coupling
    bool turns = true;                  ///< false: no rotary inertia, a node of a solid
};

/// Inverts nodal masses and rotary inertias. Errors: a mass or mean inertia that is not > 0.
[[nodiscard]] std::vector<NodeInertia> make_node_inertia(std::span<const double> mass,
                                                         std::span<const Mat3> rotary);

/// Nodes of a solid: they have no orientation. A mass of 0 marks a node that others carry along
/// (a periodic copy); it is left where it is. Errors: a mass below 0 or not finite.
[[nodiscard]] std::vector<NodeInertia> make_node_inertia(std::span<const double> mass);

} // namespace cellgrade
