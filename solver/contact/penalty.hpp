// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

namespace cellgrade {

/// Contact potential of one contact: linear at first touch, stiffening towards a cap on the depth.
///
///   u = d / c        U = -k c^2/2 ln(1 - u^2)        F = dU/dd = k d / (1 - u^2)      u <= 0.95
///                    dF/dd = k (1 + u^2) / (1 - u^2)^2
///
/// Past u = 0.95 the force goes on linearly with the tangent reached there (200 k), so that F and U
/// stay finite whatever the step does; U is twice differentiable throughout. F(0.95 c) = 9.7 k c.
/// Source: logarithmic barrier shifted to start with zero force; own choice of this project.
struct Penalty {
    double stiffness = 0.0; ///< k [N/m]
    double cap = 1.0;       ///< c [m]

    static constexpr double last_u = 0.95;

    /// @param depth d >= 0 [m]  @return [N]
    [[nodiscard]] double force(double depth) const noexcept {
        const double u = std::fmin(depth / cap, last_u), room = 1.0 - u * u;
        return stiffness * (u * cap / room + slope(u) * (depth - u * cap));
    }
    /// @param depth d >= 0 [m]  @return [J]
    [[nodiscard]] double energy(double depth) const noexcept {
        const double u = std::fmin(depth / cap, last_u), room = 1.0 - u * u;
        const double rest = depth - u * cap;
        return stiffness * (-0.5 * cap * cap * std::log1p(-u * u) + u * cap / room * rest +
                            0.5 * slope(u) * rest * rest);
    }
    /// @param depth d >= 0 [m]  @return dF/dd [N/m]
    [[nodiscard]] double tangent(double depth) const noexcept {
        return stiffness * slope(std::fmin(depth / cap, last_u));
    }
    /// dF/dd / k at u, for u <= last_u.
    [[nodiscard]] static constexpr double slope(double u) noexcept {
        const double room = 1.0 - u * u;
        return (1.0 + u * u) / (room * room);
    }
    /// Depth of the design case of ContactSettings: half way to the cap.
    static constexpr double design_u = 0.5;
};

} // namespace cellgrade
