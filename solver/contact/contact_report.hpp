// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/contact/pair_search.hpp"

#include <array>
#include <cstddef>
#include <span>
#include <vector>

namespace cellgrade {

/// What one call of StrutContact::add_loads or SurfaceContact::add_loads found.
struct ContactReport {
    double normal_energy = 0.0;        ///< stored in the normal potentials [J]
    double tangential_energy = 0.0;    ///< stored in the stick springs [J]
    double friction_dissipation = 0.0; ///< lost to slip in this call [J], >= 0
    double deepest_share = 0.0;        ///< deepest penetration / smaller radius or element [-]
    PairKey deepest;                   ///< its pair; first == no_index when nothing touches
    Index n_touching = 0;              ///< pairs with a positive depth
    Index n_candidates = 0;            ///< pairs in the list
    Index n_rebuilds = 0;              ///< list builds since construction
    Vec3 box_gradient = Vec3::Zero();  ///< minus the generalised force on the box lengths [N]
    double omega_squared = 0.0;        ///< bound, see stable_omega_squared_bound [1/s^2]

    [[nodiscard]] double stored_energy() const { return normal_energy + tangential_energy; }
    /// Adds what another part of the pairs found.
    void add(const ContactReport& part) {
        normal_energy += part.normal_energy;
        tangential_energy += part.tangential_energy;
        friction_dissipation += part.friction_dissipation;
        n_touching += part.n_touching;
        box_gradient += part.box_gradient;
        if (part.deepest_share > deepest_share) {
            deepest_share = part.deepest_share;
            deepest = part.deepest;
        }
    }
};

/// All that add_loads carries from call to call, as plain arrays for a checkpoint.
struct ContactState {
    std::vector<double> built_x;       ///< 3 a node (or surface vertex) at the last build [m]
    std::array<double, 3> built_box{}; ///< [m]
    std::array<double, 3> last_box{};  ///< of the last call [m]
    std::vector<Index> spring_keys;    ///< 5 a spring: first, second, shift x y z
    std::vector<double> springs;       ///< 3 a spring: elongation [m]
    Index n_rebuilds = 0;

    /// Notes the springs that are not at rest.
    void add_springs(std::span<const PairKey> keys, std::span<const Vec3> elongations) {
        for (std::size_t k = 0; k < keys.size(); ++k) {
            if (elongations[k].isZero(0.0))
                continue;
            const auto& [first, second, shift] = keys[k];
            spring_keys.insert(spring_keys.end(), {first, second, shift[0], shift[1], shift[2]});
            springs.insert(springs.end(),
                           {elongations[k].x(), elongations[k].y(), elongations[k].z()});
        }
    }
};

} // namespace cellgrade
