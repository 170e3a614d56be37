// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/choice/foundation.hpp"

#include <limits>
#include <vector>

namespace cellgrade {

/// One hit in time; columns of equal length, the first row at the first touch.
struct ImpactHistory {
    std::vector<double> time_s;
    std::vector<double> depth_m;
    std::vector<double> speed_m_per_s;     ///< into the pad
    std::vector<double> force_N;           ///< of the pad on the body
    std::vector<double> strain_rate_per_s; ///< of the deepest column
};

/// How a hit ended.
enum class HitEnd {
    Left,   ///< the body is thrown back
    AtRest, ///< its weight keeps it on the pad
};

struct ImpactRun {
    ImpactHistory history;
    HitEnd end = HitEnd::Left;
    double largest_strain = 0.0; ///< of the deepest column
    double rebound_speed_m_per_s = 0.0;
    double work_in_J = 0.0;   ///< done on the pad up to the turn
    double work_back_J = 0.0; ///< given back by it after the turn
    /// |kinetic + absorbed - weight's work - kinetic at touch| / kinetic at touch, largest of all
    /// steps.
    double energy_error = 0.0;
    double time_step_s = 0.0;
};

/// A blow and the accuracy it is followed with.
struct ImpactMotion {
    double mass_kg = 0.0;
    double speed_m_per_s = 0.0;
    bool with_weight = false;
    double tolerance = 2e-4;    ///< of peak force, depth and rebound speed between two steps
    double energy_limit = 1e-3; ///< of energy_error
    /// Largest strain past which the run is no result: it is not refined further.
    double result_to_strain = std::numeric_limits<double>::infinity();
};

/// Follows a body into the pad and back,
///
///   m d(speed)/dt = (m g) - force(depth, history),
///
/// by velocity Verlet with an even step, halved until peak force, depth and rebound speed (over the
/// speed of the touch) move by less than the tolerance and the energy is kept, or until two steps
/// agree that it goes past `result_to_strain`. Ends when the pad no
/// longer pushes on the way back, or when the body comes to rest under its weight.
///
/// The foundation is taken as it is before the hit (begin_hit() called) and left as it is after it.
/// Source of the scheme: Swope et al. (1982), J. Chem. Phys. 76, 637.
/// @throws Error (Run) when nine halvings are not enough
[[nodiscard]] ImpactRun follow_impact(Foundation& foundation, const ImpactMotion& motion);

} // namespace cellgrade
