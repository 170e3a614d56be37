// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/fibre_block.hpp"
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

/// The same for fibre sections at their present strain: EA and EI of an element grow with the
/// largest slope of the stress-stretch curve between the outermost fibres, over the slope at rest,
///
///   stretch from 1 + Gamma1 - r |kappa| to 1 + Gamma1 + r |kappa|,
///
/// looked at on five points of that range (the slope of a rubber is convex in stretch, so its
/// largest value lies at an end). Never less than at rest.
[[nodiscard]] double beam_stable_omega(const FibreBlock& block, const LumpedMass& mass);

} // namespace cellgrade
