// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/catalogue/any_cell.hpp"
#include "meshes/solids/implicit_solid.hpp"
#include "meshes/solids/tiled_solid.hpp"

namespace cellgrade {

/// The solid with its surface moved outward along its normal by `outward` [m] (below 0: inward).
///
///   f'(x) = f(x - h n), n = grad f / |grad f| at x            h = outward
///
/// so that x lies on the new surface when the place at distance h under it lies on the old one: the
/// error is of order h^3 for a field of any unit. A field with pieces is a distance, of which h is
/// taken off. The box stays, and so do the flat cuts on it. Five times the cost of the field, or
/// once. Periodic axes keep repeating to the last bit.
[[nodiscard]] ImplicitSolid moved_surface(const ImplicitSolid& solid, double outward);

/// A tiled solid as drawn and as printed.
struct PrintedSolid {
    TiledSolid drawn;
    ImplicitSolid solid;           ///< as printed
    double drawn_density = 0.0;    ///< mean relative density of the layers
    double relative_density = 0.0; ///< the same as printed
};

/// Cells of a plan, printed with every wall or strut thicker by `thickness_offset` [m] (half of it
/// on each side). The density is that drawn plus what the surface takes in, measured on the same
/// grid before and after, so that the errors of the grid cancel: better than 0.1 % of the density
/// (tests/unit/meshes/printed_solid_test.cpp). Errors (input): as tiled_solid(); an offset that
/// leaves nothing of the narrowest wall or strut, or that fills the cell.
[[nodiscard]] PrintedSolid
printed_solid(const AnyCell& cell, const SolidPlan& plan, double thickness_offset);

} // namespace cellgrade
