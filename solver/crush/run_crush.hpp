// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_setup.hpp"

namespace cellgrade {

/// Runs the crush. Physics gone wrong does not throw: the record then ends as Failed with the
/// reason. Errors (input): a setup that cannot be run (no nodes on a face, both speeds given, ...).
[[nodiscard]] CrushRecord run_crush(const CrushSetup& setup, const CrushHooks& hooks = {});

} // namespace cellgrade
