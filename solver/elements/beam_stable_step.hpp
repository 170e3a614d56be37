// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/fibre_block.hpp"
#include "solver/elements/lumped_mass.hpp"
#include "solver/elements/node_arrays.hpp"

#include <span>

namespace cellgrade {

/// Upper bound of the largest circular frequency of the mesh at rest [rad/s], from the elements one
/// by one.
///
///   axial 2 EA/(h m)   shear kGA (2/(h m) + h/(2 j))   bending 2 EI/(h j)   torsion 2 GJ/(h j_ax)
///
/// omega^2 is the largest of the four over all elements: the assembled maximum never exceeds that
/// of the elements, each with its own share of the mass.
/// Source: element eigenvalue theorem, Irons & Ahmad (1980); Belytschko (1983) (from memory). The
/// four are the exact frequencies of one free element at rest. The leapfrog step must stay below
/// 2 / omega; bulk viscosity b lowers that of the axial mode by sqrt(1 + b^2) - b.
[[nodiscard]] double beam_stable_omega(const BeamBlock& block, const LumpedMass& mass);

/// The same as the elements lie now. A pressed or sheared element is stiffer than at rest: squared
/// frequencies of single elements grow by up to 1.5 at an axial strain of -0.5 and 1.4 at a shear
/// of 0.4. With the stretch l = 1 + Gamma1, shear g = |Gamma2, Gamma3|, end-to-end turn phi,
/// z = tan^2(phi/4), c = (phi/2)/sin(phi/2), and u the largest rotary mobility 1/j in the mid
/// frame:
///
///   s = (1 + z) u / 2      k = max(kGA - N1/l, 0)      tension p = 2 max(N1, 0)/(l h m)
///   a = largest of | EA/h (2/m + s g^2 h^2)     sqrt(EA k) s l g h           |
///                  | sqrt(EA k) s l g h         k/h (2/m + s l^2 h^2) + p    |
///       and of k/h (2/m + s (l^2 + g^2) h^2) + p
///   b = 2 c^2 max(EI u_bend, GJ u_axial)/h    x = sqrt(k max(EI, GJ) z (l^2 + g^2)) c u
///   omega^2 = (a + b)/2 + sqrt((a - b)^2/4 + x^2)
///
/// the norm of the strains' mass-weighted gradient, block by block, with the initial stress of N1.
/// Source: derived here; initial stress of moments and shear is left out. Tested against
/// eigenvalues of the difference stiffness in 4000 random states, |Gamma| and phi up to 0.5 and
/// 1.1: never below. Threads: OpenMP inside; the largest value does not depend on their number.
[[nodiscard]] double beam_stable_omega(const BeamBlock& block,
                                       const LumpedMass& mass,
                                       std::span<const NodePose> poses,
                                       const Vec3& box);

/// The same for fibre sections at the strains of the last beam_forces: EA and EI of an element grow
/// with the largest slope of the stress-stretch curve between the outermost fibres over the slope
/// at rest,
///
///   stretch from 1 + Gamma1 - r |kappa| to 1 + Gamma1 + r |kappa|,
///
/// looked at on five points of that range (the slope of a rubber is convex in stretch, so its
/// largest value lies at an end); never less than at rest. With damage the slope of a fibre that
/// unloads from there, P^2 d(eta)/dW more, and kGA and GJ grow alike.
[[nodiscard]] double beam_stable_omega(const FibreBlock& block, const LumpedMass& mass);

} // namespace cellgrade
