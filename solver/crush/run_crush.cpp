// SPDX-License-Identifier: Apache-2.0
#include "solver/crush/run_crush.hpp"

#include "solver/crush/crush_run.hpp"

namespace cellgrade {

CrushRecord run_crush(const CrushSetup& setup, const CrushHooks& hooks) {
    return CrushRun(setup, hooks).finish();
}

} // namespace cellgrade
