// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/crush/crush_setup.hpp"
#include "solver/dynamics/body.hpp"

namespace cellgrade {

/// The deformable body of a setup: beams with the chosen section, or tetrahedra with the law of the
/// polymer; lumped mass and bulk viscosity included. Errors (input): as the builders of the blocks.
[[nodiscard]] Body make_body(const CrushSetup& setup);

/// Of the thinnest element [m].
[[nodiscard]] double smallest_radius(const BeamMesh& mesh);

} // namespace cellgrade
