// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "meshes/solids/implicit_solid.hpp"
#include "meshes/solids/middle_surface.hpp"

#include <optional>
#include <string>
#include <vector>

namespace cellgrade {

/// What a printer and its powder ask for.
struct PrintLimits {
    double least_solid = 0.0;   ///< thinnest wall or strut that prints [m]
    double least_opening = 0.0; ///< smallest opening that unmelted powder or resin leaves by [m]

    void check() const;
};

/// What a grid of small boxes shows of a specimen before it is printed.
///
/// Narrowest wall or strut: the lesser of two widths. The local thickness that 1 % of the solid
/// falls below, which sees walls and even struts; and the narrowest throat of the solid, which sees
/// necks. The crotch of two struts is thin only for less than the width of a strut and counts as
/// part of them. Opening: the narrowest throat of the void. Faces of the box are no surface.
/// Closed pores and loose pieces: flood fill on the edges of tetrahedra.
///
/// Error: a few per cent at five spacings a width (tests/unit/meshes/print_check_test.cpp). A wall
/// of uneven thickness is thinner than told at single points, a gyroid wall of relative density
/// 0.25 by 11 %: ImplicitSolid::narrowest is that of the thinnest point, to first order. What is
/// thinner than two spacings, also a neck or a film between two pores, may be missed.
struct PrintCheck {
    Vec3 spacing = Vec3::Zero();          ///< of the grid [m]
    double solid_share = 0.0;             ///< of the box, counted
    std::optional<NarrowPlace> narrowest; ///< wall or strut
    double share_below = 0.0;             ///< of the solid thinner than the limit
    std::optional<NarrowPlace> opening;   ///< of the void
    Index n_closed_pores = 0;             ///< pieces of void that reach no side
    double closed_share = 0.0;            ///< of the void
    Index n_loose_pieces = 0;             ///< pieces of solid besides the largest
    double loose_share = 0.0;             ///< of the solid

    /// Whether a width is at least five spacings, so that it can be relied on.
    [[nodiscard]] bool resolves(double width) const { return width >= 5.0 * spacing.maxCoeff(); }
};

/// Checks a specimen on a grid. About 5 to 10 us and 120 bytes a small box; one
/// thread.
/// @param spacing [m]; 0: a fifth of solid.narrowest, wider where that makes over 2 million boxes
[[nodiscard]] PrintCheck
check_print(const ImplicitSolid& solid, const PrintLimits& limits, double spacing = 0.0);

/// One line for each limit that is not kept, or that the grid is too coarse to tell; empty when the
/// specimen can be printed.
[[nodiscard]] std::vector<std::string> print_faults(const PrintCheck& found,
                                                    const PrintLimits& limits);

} // namespace cellgrade
