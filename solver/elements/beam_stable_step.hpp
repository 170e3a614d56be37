// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/beam_forces.hpp"
#include "solver/elements/lumped_mass.hpp"

#include <span>

namespace cellgrade {

/// Upper bound of the largest circular frequency of the mesh [rad/s], from the elements one by one.
///
///   axial 2 EA/(h m)   shear kGA (2/(h m) + h/(2 j))   bending 2 EI/(h j)   torsion 2 GJ/(h j_ax)
///
/// omega^2 is the largest of the four over all elements: the assembled maximum never exceeds that
/// of the elements, each with its own share of the mass.
/// Source: element eigenvalue theorem, Irons & Ahmad (1980); Belytschko (1983) (from memory). The
/// four are the exact frequencies of one free element at rest. The leapfrog step must stay below
/// 2 / omega (less with damping).
[[nodiscard]] double beam_stable_omega(const BeamBlock& block, const LumpedMass& mass);

} // namespace cellgrade
