// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/lane_powers.hpp"

namespace cellgrade {

/// Contact potential of one contact: linear at first touch, stiffening towards a cap on the depth.
///
///   u = d / c        U = -k c^2/2 ln(1 - u^2)        F = dU/dd = k d / (1 - u^2)      u <= 0.95
///                    dF/dd = k (1 + u^2) / (1 - u^2)^2
///
/// Past u = 0.95 the force goes on linearly with the tangent reached there (200 k), so that F and U
/// stay finite whatever the step does; U is twice differentiable throughout. F(0.95 c) = 9.7 k c.
/// S is double or Pack. Source: logarithmic barrier shifted to start with zero force; own choice of
/// this project.
template <class S>
struct PenaltyOf {
    S stiffness = S(0.0); ///< k [N/m]
    S cap = S(1.0);       ///< c [m]

    static constexpr double last_u = 0.95;

    /// @param depth d >= 0 [m]  @return [N]
    [[nodiscard]] CELLGRADE_INLINE S force(const S& depth) const noexcept {
        const S u = share(depth);
        return stiffness * (u * cap * steepening(u) + slope(u) * (depth - u * cap));
    }
    /// @param depth d >= 0 [m]  @return [J]
    [[nodiscard]] CELLGRADE_INLINE S energy(const S& depth) const noexcept {
        const S u = share(depth), rest = depth - u * cap;
        return stiffness * (-0.5 * cap * cap * log_of_room(u) + u * cap * steepening(u) * rest +
                            0.5 * slope(u) * rest * rest);
    }
    /// @param depth d >= 0 [m]  @return dF/dd [N/m]
    [[nodiscard]] CELLGRADE_INLINE S tangent(const S& depth) const noexcept {
        return stiffness * slope(share(depth));
    }
    /// dF/dd / k at u, for u <= last_u.
    [[nodiscard]] static constexpr S slope(const S& u) noexcept {
        const S over = steepening(u);
        return (1.0 + u * u) * (over * over);
    }
    /// Depth of the design case of ContactSettings: half way to the cap.
    static constexpr double design_u = 0.5;

private:
    // written alike in all three, so that a kernel that asks for all of them divides but twice
    [[nodiscard]] CELLGRADE_INLINE static constexpr S steepening(const S& u) noexcept {
        return 1.0 / (1.0 - u * u);
    }
    /// ln(1 - u^2), good to rounding for small u too. Source: Kahan's correction of ln(1 + x) by
    /// x/((1 + x) - 1), from memory.
    [[nodiscard]] CELLGRADE_INLINE static S log_of_room(const S& u) noexcept {
        const S x = -u * u, room = 1.0 + x;
        return select(room == 1.0, x, lane::ln(room) * (x / (room - 1.0)));
    }
    /// u, also for a depth that is not a number.
    [[nodiscard]] CELLGRADE_INLINE S share(const S& depth) const noexcept {
        const S u = depth / cap;
        return select(u < last_u, u, S(last_u));
    }
};

using Penalty = PenaltyOf<double>;

} // namespace cellgrade
