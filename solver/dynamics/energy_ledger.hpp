// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cmath>

namespace cellgrade {

/// Where the work went, all at one time t_n [J]. In which forms the parts are
/// taken so that their sum is conserved stands at `MotionSums`.
struct EnergyLedger {
    double kinetic = 0.0;
    double stored = 0.0;   ///< elastic, in the elements
    double viscous = 0.0;  ///< dissipated in the elements
    double contact = 0.0;  ///< stored in contact and stuck friction
    double friction = 0.0; ///< dissipated by sliding
    double damping = 0.0;  ///< dissipated by mass-proportional damping
    double external = 0.0; ///< work done on the body, with the energy it started from

    [[nodiscard]] double accounted() const {
        return kinetic + stored + viscous + contact + friction + damping;
    }
    /// external work - (kinetic + internal + contact + friction + damping) [J]
    [[nodiscard]] double defect() const { return external - accounted(); }
    /// |defect| over the largest energy met so far; `largest` is kept by the caller [-]
    [[nodiscard]] double closure(double& largest) const {
        largest = std::max({largest, std::abs(external), accounted()});
        return largest > 0.0 ? std::abs(defect()) / largest : 0.0;
    }
};

} // namespace cellgrade
