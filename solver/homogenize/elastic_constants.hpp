// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"

namespace cellgrade {

// All functions take a 6x6 tensor in the order xx yy zz yz xz xy with engineering shear strains.
// Source of the formulae: Nye (1957), Physical Properties of Crystals, ch. 8, unless said.

/// S = C^-1 [1/Pa]. @throws Error (Input) when C is not positive definite: a mechanism.
[[nodiscard]] Mat6 compliance(const Mat6& C);

/// 1 / E(n) = n_i n_j n_k n_l S_ijkl. @param direction need not be of unit length
[[nodiscard]] double youngs_modulus_along(const Mat6& S, const Vec3& direction);

/// Contraction along `across` for tension along `along` (two directions at right angles).
[[nodiscard]] double poisson_ratio(const Mat6& S, const Vec3& along, const Vec3& across);

/// Pressure over volume strain under equal pressure on all sides (Reuss): 1 / sum S_ij, i, j < 3.
[[nodiscard]] double bulk_modulus(const Mat6& S);

/// Zener ratio 2 C44 / (C11 - C12) of a cubic tensor, by means over the three axes. 1: isotropic.
[[nodiscard]] double zener_ratio(const Mat6& C);

/// Distance from cubic symmetry about the axes: |C - C_cubic| / |C| (Frobenius, shear rows scaled
/// as Mandel does), C_cubic the mean of C over the cube group. 0 for a cubic cell.
[[nodiscard]] double cubic_misfit(const Mat6& C);

/// C in Mandel notation (shear rows and columns times sqrt 2), whose Frobenius norm is that of the
/// tensor itself.
[[nodiscard]] Mat6 to_mandel(const Mat6& C);

/// Largest ratio of a Young's modulus along x, y, z to the Voigt bound, relative density x E.
/// Above 1 something is wrong: no lattice is stiffer than its material share.
/// Source: Hill (1952), Proc. Phys. Soc. A 65, 349.
[[nodiscard]] double voigt_share(const Mat6& C, double relative_density, double youngs_modulus);

} // namespace cellgrade
