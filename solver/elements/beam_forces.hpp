// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"
#include "solver/elements/node_arrays.hpp"

#include <span>

namespace cellgrade {

enum class WithEnergy { No, Yes };

/// Loads of two-node geometrically exact shear-deformable beams on their nodes, minus the gradient
/// of the stored energy, plus bulk viscosity; one integration point.
///
///   d_a = q_a q0,  d_b = q_b q0       (w, v) = conj(d_a) d_b        t = v / (1 + w)
///   phi n = 4 g(|t|^2) t              g(z) = atan(sqrt z) / sqrt z
///   R_m: half way from d_a to d_b     d = R_m^T (x_b + image box - x_a)
///   Gamma = d/h - e1                  kappa = phi n / h
///   N = (EA, kGA, kGA) Gamma          M = (GJ, EI, EI) kappa
///   stored = h/2 (N . Gamma + M . kappa)
///   f_b = -f_a = -R_m N               c = (phi/2) / sin(phi/2)
///   m_b = -R_m ( G M + m/2 - (m x t)/2)    m = N x d
///   m_a = -R_m (-G M + m/2 + (m x t)/2)    G M = c M + (1 - c) n (n . M)
///
/// Source: strains of Simo (1985), CMAME 49:55, and Reissner (1981); mid frame and gradient derived
/// here and checked by differences in the tests. Valid for phi < 0.9 pi an element. Objective and
/// independent of the path. Element e writes only slots 2e (end a) and 2e + 1 (end b), so the
/// result has the same bits for any number of threads. Threads: OpenMP inside.
///
/// @param poses  one a node
/// @param box    size of the periodic box [m]
/// @param dt     time since the last call [s], for viscosity only; 0: no viscous force
/// @param slots  n_slots() loads on the nodes [N, N m]
/// @return lowest element turned by 0.9 pi or more, or not finite, else `no_index`; never throws
[[nodiscard]] Index beam_forces(BeamBlock& block,
                                std::span<const NodePose> poses,
                                const Vec3& box,
                                double dt,
                                std::span<NodeLoad> slots,
                                WithEnergy energy) noexcept;

/// The same element by element on plain doubles and one thread: the oracle of the vector version.
[[nodiscard]] Index beam_forces_scalar(BeamBlock& block,
                                       std::span<const NodePose> poses,
                                       const Vec3& box,
                                       double dt,
                                       std::span<NodeLoad> slots,
                                       WithEnergy energy) noexcept;

/// Cost of one element and call of beam_forces without energies and viscosity, counted by hand in
/// the source: state 209, span 9, section 6, loads 90.
inline constexpr double beam_flops = 314.0;
/// Least traffic: element 104, one node 64, two slots 128 [B].
inline constexpr double beam_bytes = 296.0;

/// Strains and elastic resultants of one element in its mid frame.
struct BeamResultants {
    Vec3 Gamma = Vec3::Zero(); ///< axial and shear strain [-]
    Vec3 kappa = Vec3::Zero(); ///< twist and curvature [1/m]
    Vec3 N = Vec3::Zero();     ///< axial and shear force [N]
    Vec3 M = Vec3::Zero();     ///< torque and bending moments [N m]
};

/// Resultants of every element, for output; `out` has n_elements entries. Viscous part left out.
void beam_resultants(const BeamBlock& block,
                     std::span<const NodePose> poses,
                     const Vec3& box,
                     std::span<BeamResultants> out) noexcept;

} // namespace cellgrade
