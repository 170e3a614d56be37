// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace cellgrade {

/// Time steps as the polymer and as the equations of motion feel them [s].
struct BodyStep {
    double material_dt = 0.0;
    double solver_dt = 0.0;
};

} // namespace cellgrade
