// SPDX-License-Identifier: Apache-2.0
#include "solver/dynamics/node_inertia.hpp"

#include "solver/core/error.hpp"

#include <Eigen/LU>

#include <cmath>
#include <cstddef>

namespace cellgrade {

std::vector<NodeInertia> make_node_inertia(std::span<const double> mass,
                                           std::span<const Mat3> rotary) {
    std::vector<NodeInertia> nodes(mass.size());
    for (std::size_t i = 0; i < mass.size(); ++i) {
        const double scale = rotary[i].trace() / 3.0;
        CELLGRADE_CHECK(mass[i] > 0.0 && scale > 0.0,
                        "node {} carries no mass (mass {} kg, rotary inertia {} kg m^2)", i,
                        mass[i], scale);
        const Mat3 off = rotary[i] - scale * Mat3::Identity();
        nodes[i] = {.mass = mass[i],
                    .inverse_mass = 1.0 / mass[i],
                    .rotary = rotary[i],
                    .inverse_rotary = rotary[i].inverse(),
                    .spherical = off.cwiseAbs().maxCoeff() < 1e-12 * scale};
    }
    return nodes;
}

std::vector<NodeInertia> make_node_inertia(std::span<const double> mass) {
    std::vector<NodeInertia> nodes(mass.size());
    for (std::size_t i = 0; i < mass.size(); ++i) {
        CELLGRADE_CHECK(mass[i] >= 0.0 && std::isfinite(mass[i]), "node {} has mass {} kg", i,
                        mass[i]);
        nodes[i] = {
            .mass = mass[i], .inverse_mass = mass[i] > 0.0 ? 1.0 / mass[i] : 0.0, .turns = false};
    }
    return nodes;
}

} // namespace cellgrade
