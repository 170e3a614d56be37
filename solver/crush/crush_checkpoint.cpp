// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/crush_run.hpp"

namespace cellgrade {

void CrushRun::save_checkpoint() const {}

void CrushRun::resume_from_checkpoint() {}

} // namespace cellgrade
