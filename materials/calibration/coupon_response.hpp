// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/calibration/coupon.hpp"
#include "materials/laws/damage.hpp"
#include "materials/laws/registry.hpp"

#include <Eigen/Core>

#include <optional>
#include <span>
#include <vector>

namespace cellgrade {

/// Stress of a law in a coupon test, without memory: nominal, shear or mean Cauchy stress as in
/// CouponMode [Pa].
///
///   uniaxial     F = diag(l, t, t)       equibiaxial  F = diag(l, l, t)
///   planar       F = diag(l, 1, t)       volumetric   F = J^(1/3) I
///   simple shear F = I + g e1 (x) e2
///
/// The free stretch t makes its own stress zero, solved with the law's bulk modulus (bracketed
/// Newton iteration to round-off), so a nearly incompressible law needs no special case.
/// Source: Treloar (1975), The Physics of Rubber Elasticity, ch. 5 (modes).
/// @return NaN where the law has no lateral equilibrium, or the void is closed
[[nodiscard]] double coupon_stress(const AnyLaw& law, CouponMode mode, double stretch);

/// The free stretch t of a mode that has one; NaN without equilibrium.
[[nodiscard]] double free_stretch(const AnyLaw& law, CouponMode mode, double stretch);

/// Stress along a whole test, one value a row.
///
/// With Prony terms and times, the isochoric stress S follows
///   sum Q_i + g_inf S,   Q_i(t + dt) = e^(-x) Q_i + share_i (1 - e^(-x))/x (S(t + dt) - S(t)),
/// x = dt/time_i: exact for S linear between rows (Taylor, Pister & Goudreau 1970, IJNME 2, 45),
/// the same law as Viscous, whose midpoint rule is for small steps. It starts from rest at t = 0.
/// Between the rows of a UniaxialCycle the stretch goes in steps of at most 0.02, evenly in time;
/// what is left of the error is (0.02)^2/8 of the curvature of S.
/// Damage softens S first (MullinsDamage), from rest at the first row on; its largest energy is
/// that of the rows and steps between. Without damage, and without times or terms, it is
/// coupon_stress row by row. Any number of terms.
/// @param time_s   rising, or empty: nothing relaxes
[[nodiscard]] std::vector<double> coupon_stresses(const AnyLaw& law,
                                                  std::span<const PronyTerm> prony,
                                                  CouponMode mode,
                                                  std::span<const double> stretch,
                                                  std::span<const double> time_s,
                                                  const std::optional<MullinsDamage>& damage = {});

/// Isochoric stress, softened where there is damage, of a law in a test, split by what a Prony term
/// makes of it [Pa]: column 0 as it stands, column i that of a branch of share 1 and times_s[i -
/// 1]; a row a reading.
///
/// The free side is that of the law without memory and a pressure clears its stress, so the sum
/// (1 - sum share_i) column 0 + sum share_i column i is coupon_stresses up to the ratio of shear
/// and bulk modulus. NaN from the first row on that has no equilibrium.
[[nodiscard]] Eigen::MatrixXd branch_stresses(const AnyLaw& law,
                                              std::span<const double> times_s,
                                              CouponMode mode,
                                              std::span<const double> stretch,
                                              std::span<const double> time_s,
                                              const std::optional<MullinsDamage>& damage = {});

} // namespace cellgrade
