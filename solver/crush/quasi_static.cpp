// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/quasi_static.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace cellgrade {

namespace {

double mean(const std::vector<double>& column, Index first, Index last) {
    return std::accumulate(column.begin() + first, column.begin() + last, 0.0) / (last - first);
}

} // namespace

InertiaWindow inertia_window(const CrushHistory& h, Index first, Index last) {
    const double kinetic = mean(h.kinetic_energy_J, first, last);
    const double internal =
        mean(h.stored_energy_J, first, last) + mean(h.viscous_energy_J, first, last) +
        mean(h.contact_energy_J, first, last) + mean(h.friction_energy_J, first, last);
    // Across and along; forces along x count only where the platen itself moves along x.
    const double side = h.slide_m[last - 1] != 0.0 ? 1.0 : 0.0;
    const auto force = [&](const std::vector<double>& normal, const std::vector<double>& along,
                           Index from) {
        return Eigen::Vector2d(mean(normal, from, last), side * mean(along, from, last));
    };
    const Eigen::Vector2d top = force(h.force_top_N, h.side_force_top_N, first);
    const Eigen::Vector2d bottom = force(h.force_bottom_N, h.side_force_bottom_N, first);
    const double largest = std::max({(0.5 * (top + bottom)).norm(),
                                     force(h.force_top_N, h.side_force_top_N, 0).norm(), 1e-300});
    return {.kinetic_share = kinetic / std::max(internal, 1e-300),
            .platen_balance = (top - bottom).norm() / largest};
}

InertiaWindow worst_inertia(
    const CrushHistory& history, double height, Index rows_per_window, Index after, Index rows) {
    InertiaWindow worst;
    for (Index last = std::max(rows_per_window, after + 1); last <= rows; ++last) {
        const Index first = last - rows_per_window;
        const double way =
            std::abs(history.displacement_m[first]) + std::abs(history.slide_m[first]);
        if (way < inertia_from_strain * height)
            continue;
        const InertiaWindow now = inertia_window(history, first, last);
        worst.kinetic_share = std::max(worst.kinetic_share, now.kinetic_share);
        worst.platen_balance = std::max(worst.platen_balance, now.platen_balance);
    }
    return worst;
}

double first_solver_speed(const CrushSetup& setup, double height, double slow_period) {
    const double share = setup.numerics.speed_share;
    if (setup.numerics.solver_speed_m_per_s)
        return share * *setup.numerics.solver_speed_m_per_s;
    constexpr double periods = 25.0;
    return share * (setup.loading.to_strain + setup.loading.shear_to_strain) * height /
           (periods * slow_period);
}

} // namespace cellgrade
