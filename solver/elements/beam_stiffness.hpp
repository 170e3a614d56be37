// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "solver/core/types.hpp"
#include "solver/elements/beam_block.hpp"

namespace cellgrade {

using Mat12 = Eigen::Matrix<double, 12, 12>;
using Vec12 = Eigen::Matrix<double, 12, 1>;

/// Stiffness of a straight round Timoshenko beam from a to b, small displacements, global axes.
///
///   A = pi r^2    I = pi r^4 / 4    J = 2 I    Phi = 12 E I / (kappa G A L^2)
///   axial E A / L, torsion G J / L, bending in both planes
///   E I / ((1 + Phi) L^3) [12, 6 L, (4 + Phi) L^2, (2 - Phi) L^2]
///
/// A very large shear factor leaves shear flexibility out. Exact for end loads, so that one element
/// a strut is enough where no load acts between joints. Source: Przemieniecki (1968), Theory of
/// Matrix Structural Analysis, sec. 5.6.
/// @param axis   b - a [m], not zero
/// @param radius [m]
/// @return rows (u_a, theta_a, u_b, theta_b), forces [N] and moments [N m]
[[nodiscard]] Mat12 beam_stiffness(const Vec3& axis, double radius, const SectionModuli& moduli);

/// Stiffness at rest of the two-node beam of beam_forces.hpp, with its one integration point.
///
///   K = h (B_Gamma^T diag(EA, kGA, kGA) B_Gamma + B_kappa^T diag(GJ, EI, EI) B_kappa)
///   Gamma = R^T (u_b - u_a - (theta_a + theta_b)/2 x axis) / h    kappa = R^T (theta_b -
///   theta_a)/h
///
/// For the frequencies of the explicit solver; softer than beam_stiffness() where one element
/// spans a strut. Source: Hughes (1987), The Finite Element Method, sec. 5.4 (from memory).
[[nodiscard]] Mat12
beam_one_point_stiffness(const Vec3& axis, double radius, const SectionModuli& moduli);

/// Initial-stress stiffness of the exact beam under an axial force N (tension positive).
///
///   delta^2 W = N integral (2 w' theta - theta^2) dx    in each bending plane,
///
/// w deflection and theta rotation of the section, by the exact shape functions of the stiffness.
/// It is the linearised axial work of a geometrically exact rod (strain of the axis measured
/// normal to the section), whose column buckles at the load of Haringx; without shear flexibility
/// it is the usual N integral w'^2 dx. Initial bending moments and torques are left out.
/// Source: Reissner (1972), J. Appl. Math. Phys. 23, 795; shape functions of Friedman & Kosmatka
/// (1993), Computers & Structures 47, 473 (from memory).
[[nodiscard]] Mat12 beam_geometric_stiffness(const Vec3& axis,
                                             double radius,
                                             const SectionModuli& moduli,
                                             double axial_force);

/// Consistent mass of the same beam with rotary inertia, global axes.
///
///   integral rho A (u^2 + v^2 + w^2) + rho I (theta_y^2 + theta_z^2) + rho J theta_x^2 dx
///
/// @param density [kg/m^3]
[[nodiscard]] Mat12
beam_consistent_mass(const Vec3& axis, double radius, const SectionModuli& moduli, double density);

} // namespace cellgrade
