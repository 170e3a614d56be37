// SPDX-License-Identifier: Apache-2.0
#include "solver/contact/contact_settings.hpp"

#include "solver/contact/penalty.hpp"
#include "solver/core/error.hpp"

#include <cmath>
#include <numbers>

namespace cellgrade {

void ContactSettings::check() const {
    CELLGRADE_CHECK(modulus > 0.0 && std::isfinite(modulus),
                    "contact: modulus is {} Pa; give a finite value > 0", modulus);
    CELLGRADE_CHECK(poisson > -1.0 && poisson <= 0.5,
                    "contact: Poisson number is {}; give a value in (-1, 0.5]", poisson);
    CELLGRADE_CHECK(friction >= 0.0 && friction <= 10.0,
                    "contact: friction is {}; give a Coulomb number in [0, 10]", friction);
    CELLGRADE_CHECK(reference_step > 0.0 && std::isfinite(reference_step),
                    "contact: reference step is {} s; give a finite value > 0", reference_step);
    CELLGRADE_CHECK(step_share > 0.0 && step_share < 0.9,
                    "contact: step share is {}; give a value in (0, 0.9)", step_share);
    CELLGRADE_CHECK(design_contacts >= 1.0 && design_contacts <= 100.0,
                    "contact: design contacts is {}; give a value in [1, 100]", design_contacts);
    CELLGRADE_CHECK(cap_share > 0.0 && cap_share <= 0.5,
                    "contact: cap share is {}; give a value in (0, 0.5]", cap_share);
    CELLGRADE_CHECK(tangent_share > 0.0 && tangent_share <= 1.0,
                    "contact: tangent share is {}; give a value in (0, 1]", tangent_share);
    CELLGRADE_CHECK(regularisation >= 1e-6 && regularisation <= 0.1,
                    "contact: regularisation is {}; give a value in [1e-6, 0.1]", regularisation);
    CELLGRADE_CHECK(move_share > 0.0 && move_share <= 0.25,
                    "contact: move share is {}; give a value in (0, 0.25]", move_share);
    CELLGRADE_CHECK(search_margin_share >= 2.0 * move_share && search_margin_share <= 10.0,
                    "contact: search margin share is {}; give a value in [{}, 10]",
                    search_margin_share, 2.0 * move_share);
    CELLGRADE_CHECK(reference_gap_share >= 0.0 && reference_gap_share <= 0.5,
                    "contact: reference gap share is {}; give a value in [0, 0.5]",
                    reference_gap_share);
    CELLGRADE_CHECK(layer_share >= 0.01 && layer_share <= 0.25,
                    "contact: layer share is {}; give a value in [0.01, 0.25]", layer_share);
    CELLGRADE_CHECK(layer_tangent_share > 0.0 && layer_tangent_share <= 1.0,
                    "contact: layer tangent share is {}; give a value in (0, 1]",
                    layer_tangent_share);
    CELLGRADE_CHECK(layer_move_share > 0.0 && layer_move_share <= 0.5,
                    "contact: layer move share is {}; give a value in (0, 0.5]", layer_move_share);
    CELLGRADE_CHECK(layer_margin_share >= 4.0 * layer_move_share * layer_share &&
                        layer_margin_share <= 4.0,
                    "contact: layer margin share is {}; give a value in [{}, 4]",
                    layer_margin_share, 4.0 * layer_move_share * layer_share);
}

double ContactSettings::omega_squared_room() const {
    const double omega = 2.0 / reference_step, left = 1.0 - step_share;
    return omega * omega * (1.0 / (left * left) - 1.0);
}

double ContactSettings::physical_stiffness(double radius) const {
    constexpr double share = 0.1; // of the radius, where the two force laws agree
    const double effective_modulus = modulus / (2.0 * (1.0 - poisson * poisson));
    const double hertz_force =
        4.0 / 3.0 * effective_modulus * radius * radius * std::pow(share, 1.5);
    const double u = share / cap_share;
    // Penalty force at that depth is k d / (1 - u^2); a cap below it would leave no room.
    return u < Penalty::last_u ? hertz_force * (1.0 - u * u) / (share * radius)
                               : hertz_force / (share * radius);
}

double ContactSettings::platen_stiffness(double radius) const {
    return std::numbers::pi * modulus * radius;
}

double ContactSettings::film_stiffness(double area, double layer) const {
    return modulus * (1.0 - poisson) / ((1.0 + poisson) * (1.0 - 2.0 * poisson)) * area / layer;
}

} // namespace cellgrade
