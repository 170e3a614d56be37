// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "materials/cards/polymer_card.hpp"
#include "solver/core/types.hpp"

#include <span>
#include <vector>

namespace cellgrade {

/// One moment of a uniform column between two plates.
struct ColumnMoment {
    double time_s = 0.0; ///< rising
    double strain = 0.0; ///< shortening / height [-]
    double shear = 0.0;  ///< sideways way of the upper plate / height [-]
};

/// What the column answers, nominal.
struct ColumnAnswer {
    double stress_Pa = 0.0;       ///< along the axis, compression positive
    double shear_stress_Pa = 0.0; ///< along the way of the plate
    double lateral = 1.0;         ///< stretch along that way [-]
    double across = 1.0;          ///< stretch across it and the axis [-]
};

/// F = [a 0 g; 0 b 0; 0 0 1 - e].
[[nodiscard]] Mat3 column_gradient(const ColumnMoment& at, const ColumnAnswer& answer);

/// A uniform block of a polymer card pressed and sheared, its sides free of mean stress: what a
/// crush of it must give where nothing moves but evenly.
///
///   F = [a 0 g; 0 b 0; 0 0 1 - e]      P_xx = P_yy = 0 for a and b, by Newton's iteration
///
/// with the card's relaxation and damage, from rest at time 0; Viscous::advance row by row, so rows
/// must be close where the polymer relaxes between them. About 30 us a row.
/// @return NaN from the first row on that has no equilibrium
[[nodiscard]] std::vector<ColumnAnswer> column_path(const PolymerCard& card,
                                                    std::span<const ColumnMoment> path);

/// Whether a law without memory is strongly elliptic at F: waves of any direction keep a real
/// speed, so that no band or buckle forms inside an even block.
///
///   n_J A_iJkL n_L a_i a_k > 0 for all a, n      A = dP/dF, by central differences
///
/// Source: Ogden (1984), Non-Linear Elastic Deformations, sec. 6.2.7 (from memory). Tried for
/// directions of the half sphere 2 degrees apart in planes through z, the planes 15 degrees apart.
[[nodiscard]] bool elliptic_at(const AnyLaw& law, const Mat3& F);

/// Largest strain up to `to_strain`, in steps of 0.01, up to which the law is elliptic_at the
/// pressed column, sides free.
[[nodiscard]] double elliptic_to(const AnyLaw& law, double to_strain);

} // namespace cellgrade
